const onPhone = "(max-width: 640px)";

/** Open by itself; a phone folds it, and paper has it open again. */
export const foldOnPhone = (element: HTMLElement): void => {
  const fold = element as HTMLDetailsElement;
  // What was refused in it, or leads to something in it, keeps it open.
  const isCalledFor = fold.querySelector(".wrong, [aria-invalid=true], :target") !== null;
  if (matchMedia(onPhone).matches && !isCalledFor) fold.open = false;
  addEventListener("beforeprint", () => {
    fold.open = true;
  });
};
