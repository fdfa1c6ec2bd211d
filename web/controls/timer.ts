import { formatElapsed } from "../../server/html/format.ts";
import { heartbeat } from "./heartbeat.ts";
import { noteSighting } from "./sighting.ts";
import { everySecond } from "./ticks.ts";

/** The server's clock counts; this browser's may be wrong, but it runs as fast. */
const elapsedSince = ({ started, now }: DOMStringMap): (() => number) => {
  const atLoad = (Date.parse(now ?? "") - Date.parse(started ?? "")) / 1000;
  const loadedAt = Date.now();
  return () => Math.max(0, atLoad + (Date.now() - loadedAt) / 1000);
};

/** Until the planned time is up one button stands first, then another in its place. */
const showFirst = (isOver: boolean): void => {
  const before = document.querySelector<HTMLElement>("[data-before-planned]");
  const after = document.querySelector<HTMLElement>("[data-after-planned]");
  if (!before || !after || after.hidden !== isOver) return;
  const hadFocus = document.activeElement === before || document.activeElement === after;
  before.hidden = isOver;
  after.hidden = !isOver;
  if (hadFocus) (isOver ? after : before).focus();
};

/** The running clock of an armed run. */
export const runTimer = (element: HTMLElement): void => {
  const { planned, heartbeats, timer, sighting } = element.dataset;
  const elapsed = elapsedSince(element.dataset);
  const plannedS = planned ? Number(planned) : undefined;
  const beat = heartbeats
    ? heartbeat(heartbeats, document.querySelector(`[data-kept="${timer}"]`))
    : undefined;
  const tick = (): void => {
    if (!element.isConnected) {
      stop();
      return;
    }
    // The run is over; what ended it waits to be sent.
    if (element.dataset.stopped !== undefined) return;
    const elapsedS = elapsed();
    const isOver = plannedS !== undefined && elapsedS >= plannedS;
    element.textContent = formatElapsed(elapsedS);
    element.classList.toggle("over", isOver);
    showFirst(isOver);
    element.dataset.elapsed = String(Math.floor(elapsedS));
    if (sighting) noteSighting(sighting, elapsedS);
    void beat?.(elapsedS);
  };
  const stop = everySecond(tick);
  tick();
};
