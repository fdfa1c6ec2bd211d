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
}>;

/** A large running clock. Without script it shows how far the run was when the page was loaded. */
export const Timer = ({ name, startedAt, now, plannedS, heartbeats, sighting, arrival }: Props) => {
  const elapsedS = (Date.parse(now) - Date.parse(startedAt)) / 1000;
  return (
    <>
      <div
        class={plannedS !== null && elapsedS >= plannedS ? "timer over" : "timer"}
        role="timer"
        data-timer={name}
        data-started={startedAt}
        data-now={now}
        data-planned={plannedS ?? undefined}
        data-heartbeats={heartbeats}
        data-sighting={sighting}
        data-arrival={arrival}
      >
        {formatElapsed(elapsedS)}
      </div>
      <p class="kept" data-kept={name} />
    </>
  );
};
