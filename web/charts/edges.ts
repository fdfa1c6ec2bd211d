import type uPlot from "uplot";
import type { Edge, LineChart } from "../../server/html/lineChart.ts";
import type { Extent } from "../../server/html/plot.ts";

const fieldOf = ({ field }: Edge): HTMLInputElement | null =>
  document.querySelector<HTMLInputElement>(`#${CSS.escape(field)}`);

const standingAt = (edge: Edge): number => {
  const typed = Number.parseFloat(fieldOf(edge)?.value ?? "");
  return Number.isFinite(typed) ? typed : edge.at;
};

type Handle = Readonly<{ handle: HTMLElement; place: () => void }>;

/** An edge is a handle over the chart bound to a field: drag it, push it with the arrow keys, or type. */
const addEdge = (u: uPlot, edge: Edge, whole: Extent, moved: () => void): Handle => {
  const handle = document.createElement("button");
  handle.type = "button";
  handle.className = "edge";
  handle.setAttribute("role", "slider");
  handle.setAttribute("aria-label", edge.label);
  handle.setAttribute("aria-valuemin", String(Math.round(whole[0])));
  handle.setAttribute("aria-valuemax", String(Math.round(whole[1])));
  const place = (): void => {
    const at = standingAt(edge);
    const left = u.valToPos(at, "x");
    handle.hidden = left < 0 || left > u.over.clientWidth;
    handle.style.left = `${left}px`;
    handle.setAttribute("aria-valuenow", String(Math.round(at)));
  };
  const placeAll = (): void => {
    place();
    moved();
  };
  const move = (value: number, done: boolean): void => {
    const field = fieldOf(edge);
    if (!field) return;
    field.value = String(Math.round(Math.min(whole[1], Math.max(whole[0], value))));
    placeAll();
    field.dispatchEvent(new Event("input", { bubbles: true }));
    if (done) field.dispatchEvent(new Event("change", { bubbles: true }));
  };
  const valueUnder = (clientX: number): number =>
    u.posToVal(clientX - u.over.getBoundingClientRect().left, "x");
  handle.addEventListener("pointerdown", (event) => {
    event.stopPropagation();
    handle.setPointerCapture(event.pointerId);
  });
  handle.addEventListener("mousedown", (event) => event.stopPropagation());
  handle.addEventListener("pointermove", (event) => {
    if (handle.hasPointerCapture(event.pointerId)) move(valueUnder(event.clientX), false);
  });
  handle.addEventListener("pointerup", (event) => move(valueUnder(event.clientX), true));
  handle.addEventListener("keydown", (event) => {
    const by = { ArrowLeft: -1, ArrowRight: 1, PageDown: -30, PageUp: 30 }[event.key];
    if (by === undefined) return;
    event.preventDefault();
    event.stopPropagation();
    move(standingAt(edge) + by, true);
  });
  fieldOf(edge)?.addEventListener("input", placeAll);
  u.over.append(handle);
  return { handle, place };
};

/** Handles that would lie on one another share the height, so that each can be taken hold of. */
const shareHeight = (handles: readonly HTMLElement[]): void => {
  const leftOf = (handle: HTMLElement): number => Number.parseFloat(handle.style.left);
  const groups: HTMLElement[][] = [];
  for (const handle of handles.filter(({ hidden }) => !hidden).toSorted((a, b) => leftOf(a) - leftOf(b))) {
    const group = groups.at(-1);
    const last = group?.at(-1);
    if (group && last && leftOf(handle) - leftOf(last) < handle.offsetWidth) group.push(handle);
    else groups.push([handle]);
  }
  for (const group of groups) {
    group.forEach((handle, i) => {
      handle.style.top = `${(100 * i) / group.length}%`;
      handle.style.bottom = `${(100 * (group.length - 1 - i)) / group.length}%`;
      handle.style.setProperty("--over", `${-100 * i}%`);
      handle.style.setProperty("--under", `${-100 * (group.length - 1 - i)}%`);
    });
  }
};

/** Adds the chart's edges; what comes back puts them where they belong after a change of view. */
export const addEdges = (u: uPlot, { edges = [] }: LineChart, whole: Extent): (() => void) => {
  const share = (): void => shareHeight(handles.map(({ handle }) => handle));
  const handles: readonly Handle[] = edges.map((edge) => addEdge(u, edge, whole, share));
  return () => {
    for (const { place } of handles) place();
    share();
  };
};
