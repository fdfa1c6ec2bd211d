import type { ComponentChildren } from "preact";
import { formatElapsed } from "./format.ts";

type Props = Readonly<{
  /** Names the timer on its page. */
  name: string;
  startedAt: string;
  /** The server's clock as the page was written. */
  now: string;
  plannedS: number | null;
  /** Where to say how far it got. */
  heartbeats: string;
  /** Under what name the page is to note, every second, how far it saw the clock run. */
  sighting: string;
  /** What is said when a swap brings the timer, which then has the focus. */
  arrival: string;
  /** Stands beside the clock. */
  children?: ComponentChildren;
}>;

/** A large running clock. Without script it shows how far the run was when the page was loaded. */
export const Timer = ({ name, startedAt, now, plannedS, heartbeats, sighting, arrival, children }: Props) => {
  const elapsedS = (Date.parse(now) - Date.parse(startedAt)) / 1000;
  return (
    <div class="clock">
      <div
        class={plannedS !== null && elapsedS >= plannedS ? "timer over" : "timer"}
        role="timer"
        data-timer={name}
        data-started={startedAt}
        data-now={now}
        data-planned={plannedS ?? undefined}
        data-heartbeats={heartbeats}
        data-arrival={arrival}
        data-sighting={sighting}
      >
        {formatElapsed(elapsedS)}
      </div>
      <div class="beside">
        {children}
        <p class="kept" data-kept={name} />
      </div>
    </div>
  );
};
