import type uPlot from "uplot";
import type { Extent } from "../../server/html/plot.ts";
import type { ReaderPlace } from "./readerPlace.ts";

const inside = ([low, high]: Extent, [least, most]: Extent): Extent => {
  const span = Math.min(high - low, most - least);
  const start = Math.min(most - span, Math.max(least, low));
  return [start, start + span];
};

const extent = (u: uPlot): Extent => [u.scales.x?.min ?? 0, u.scales.x?.max ?? 1];

/** Looking closer: two fingers, the wheel with Ctrl, or + − 0 ← →; one finger moves along once it is closer. */
export const lookCloser = (u: uPlot, place: HTMLElement, whole: Extent, reader: ReaderPlace): void => {
  const show = (wanted: Extent): void => {
    const [min, max] = inside(wanted, whole);
    u.setScale("x", { min, max });
  };
  u.hooks.setScale = [
    ...(u.hooks.setScale ?? []),
    (_, scale) => {
      if (scale !== "x") return;
      const [low, high] = extent(u);
      const isCloser = high - low < (whole[1] - whole[0]) * 0.999;
      place.classList.toggle("closer", isCloser);
      reader.closer = isCloser ? [low, high] : undefined;
    },
  ];
  show(reader.closer ?? whole);
  const valueAt = (clientX: number, [low, high]: Extent): number => {
    const { left, width } = u.over.getBoundingClientRect();
    return low + ((clientX - left) / width) * (high - low);
  };
  const zoom = (factor: number, about: number): void => {
    const [low, high] = extent(u);
    show([about - (about - low) * factor, about + (high - about) * factor]);
  };
  const middle = (): number => (extent(u)[0] + extent(u)[1]) / 2;

  const fingers = new Map<number, number>();
  let start: Readonly<{ view: Extent; at: readonly number[] }> | undefined;
  const restart = (): void => {
    start = { view: extent(u), at: [...fingers.values()].map((x) => valueAt(x, extent(u))) };
  };
  const follow = (): void => {
    if (!start) return;
    const { view, at } = start;
    const now = [...fingers.values()].map((x) => valueAt(x, view));
    const [a, b] = [at[0] ?? 0, at[1]];
    const [p, q] = [now[0] ?? 0, now[1]];
    if (b === undefined || q === undefined) {
      show([view[0] + a - p, view[1] + a - p]);
      return;
    }
    const factor = Math.abs(b - a) / Math.max(1e-9, Math.abs(q - p));
    const about = (a + b) / 2;
    const shift = about - (p + q) / 2;
    show([
      about - (about - view[0]) * factor + shift * factor,
      about + (view[1] - about) * factor + shift * factor,
    ]);
  };
  const isFinger = (event: PointerEvent): boolean => event.pointerType === "touch";
  const lift = (event: PointerEvent): void => {
    if (fingers.delete(event.pointerId)) restart();
  };
  u.over.addEventListener("pointerdown", (event) => {
    if (!isFinger(event)) return;
    fingers.set(event.pointerId, event.clientX);
    restart();
  });
  u.over.addEventListener("pointermove", (event) => {
    if (!fingers.has(event.pointerId)) return;
    fingers.set(event.pointerId, event.clientX);
    if (fingers.size > 1 || place.classList.contains("closer")) follow();
  });
  u.over.addEventListener("pointerup", lift);
  u.over.addEventListener("pointercancel", lift);
  u.over.addEventListener(
    "wheel",
    (event) => {
      if (!event.ctrlKey) return;
      event.preventDefault();
      zoom(event.deltaY > 0 ? 1.25 : 0.8, valueAt(event.clientX, extent(u)));
    },
    { passive: false },
  );
  u.over.addEventListener("dblclick", () => show(whole));
  place.addEventListener("keydown", ({ key }) => {
    if (key === "+") zoom(0.8, middle());
    if (key === "-") zoom(1.25, middle());
    if (key === "0") show(whole);
  });
};
