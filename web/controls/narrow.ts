const onPhone = "(max-width: 640px)";

/** Open by itself; a phone folds it, and paper has it open again. */
export const foldOnPhone = (element: HTMLElement): void => {
  const fold = element as HTMLDetailsElement;
  if (matchMedia(onPhone).matches) fold.open = false;
  addEventListener("beforeprint", () => {
    fold.open = true;
  });
};
