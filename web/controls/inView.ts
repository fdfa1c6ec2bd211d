const isInView = (element: Element): boolean => {
  const { top, bottom } = element.getBoundingClientRect();
  return top >= 0 && bottom <= innerHeight;
};

/** The page moves only where it must, and then so that what is around it is seen too. */
export const bringIntoView = (element: Element): void => {
  if (!isInView(element)) element.scrollIntoView({ block: "center", behavior: "instant" });
};
