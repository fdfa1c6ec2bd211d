/** Made when first asked for, and once: preparing every statement at opening would cost each start dearly. */
export function whenAsked<Made>(make: () => Made): () => Made {
  let made: { it: Made } | null = null;
  return () => {
    made ??= { it: make() };
    return made.it;
  };
}
