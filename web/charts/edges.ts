import type uPlot from "uplot";
import type { Edge, LineChart } from "../../server/html/lineChart.ts";
import type { Extent } from "../../server/html/plot.ts";

const fieldOf = ({ field }: Edge): HTMLInputElement | null =>
  document.querySelector<HTMLInputElement>(`#${CSS.escape(field)}`);

const standingAt = (edge: Edge): number => {
  const typed = Number.parseFloat(fieldOf(edge)?.value ?? "");
  return Number.isFinite(typed) ? typed : edge.at;
};

/** An edge is a handle over the chart bound to a field: drag it, push it with the arrow keys, or type. */
const addEdge = (u: uPlot, edge: Edge, whole: Extent): (() => void) => {
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
  const move = (value: number, done: boolean): void => {
    const field = fieldOf(edge);
    if (!field) return;
    field.value = String(Math.round(Math.min(whole[1], Math.max(whole[0], value))));
    place();
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
  fieldOf(edge)?.addEventListener("input", place);
  u.over.append(handle);
  return place;
};

/** Adds the chart's edges; what comes back puts them where they belong after a change of view. */
export const addEdges = (u: uPlot, { edges = [] }: LineChart, whole: Extent): (() => void) => {
  const places = edges.map((edge) => addEdge(u, edge, whole));
  return () => {
    for (const place of places) place();
  };
};
