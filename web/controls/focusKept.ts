/** A chart is drawn a moment after its figure has come. */
const mostFrames = 240;

/** What of a piece answers to what had the focus in the one before it. */
const heirOf = (had: HTMLElement): HTMLElement | null => {
  if (had.id) return document.getElementById(had.id);
  const figure = had.matches(".drawing") ? had.closest("figure.chart") : null;
  return figure?.id ? document.querySelector(`#${CSS.escape(figure.id)} .drawing`) : null;
};

/** Gives the focus that lies in an element to what takes its place, as soon as that is there and nobody has moved on. */
export const focusKept = (leaving: Element): (() => void) => {
  const had = document.activeElement;
  if (!(had instanceof HTMLElement) || !leaving.contains(had)) return () => undefined;
  const heir = (): HTMLElement | null => heirOf(had);
  let frames = mostFrames;
  const giveBack = (): void => {
    if (document.activeElement !== null && document.activeElement !== document.body) return;
    const to = heir();
    if (to !== null && to !== had) to.focus({ preventScroll: true });
    else if (--frames > 0) requestAnimationFrame(giveBack);
  };
  return giveBack;
};
