import type { AttendantHeard } from "../../bench/things/attendant.ts";
import { formatDuration, formatElapsed, formatNumber } from "../../html/format.ts";
import { Note } from "../../html/note.tsx";
import { Moment } from "../../html/quantity.tsx";
import { paths } from "../paths.ts";
import type { AttendedShown } from "./attendedShown.ts";
import { keptOnFailure } from "./swaps.ts";

type Props = Readonly<{ attended: AttendedShown }>;

/** Alone, for a swap; where the page is about something else by now, what it is about comes in its place. */
export const attendedPiece = (attended: AttendedShown, seen: string | undefined) =>
  seen === attended.key ? <AttendedPiece attended={attended} /> : <AnotherPage attended={attended} />;

/** Whether somebody attends the build, and what the machine reads. Asks for itself again. */
export const AttendedPiece = ({ attended }: Props) => {
  const { buildId, pursuit, attendant, key, isRunner } = attended;
  return (
    <div
      id="attendant"
      class="attended"
      hx-get={paths.attendant({ build: buildId, seen: key, ...pursuit })}
      hx-trigger={attendant === null ? "every 10s" : "every 1s"}
      hx-swap="outerHTML"
      {...keptOnFailure}
    >
      {attendant !== null && isRunner ? <Clock attended={attended} /> : null}
      {attendant === null ? null : <Presence attended={attended} attendant={attendant} />}
      {attendant?.remark ? (
        <Note kind="plain">
          <p>{attendant.remark}</p>
        </Note>
      ) : null}
    </div>
  );
};

/** The page goes on by itself: what runs, or has ended, or asks. What was typed, and the focus, stay. */
const AnotherPage = ({ attended: { buildId, pursuit } }: Props) => (
  <div
    id="attendant"
    data-goes-on=""
    hx-get={paths.bench({ build: buildId, ...pursuit })}
    hx-trigger="load"
    hx-target="#main"
    hx-select="#main > *"
    hx-swap="innerMorph"
  />
);

/** How far the machine itself says it is; a page's own clock goes on when the machine has frozen. */
const Clock = ({ attended: { attendant, running, beat } }: Props) => {
  const tempC = attendant?.reads?.tempC ?? beat?.tempC ?? null;
  const plannedS = running?.plannedS ?? null;
  return (
    <div class="clock">
      <div class="timer" role="timer">
        {formatElapsed(attendant?.elapsedS ?? beat?.elapsedS ?? 0)}
      </div>
      <div class="beside">
        <p>{plannedS === null ? "until it is stopped" : `of ${formatElapsed(plannedS)}`}</p>
        {tempC === null ? null : <p class="live-reading">{formatNumber(tempC, 1)} °C</p>}
      </div>
    </div>
  );
};

const Presence = ({ attended, attendant }: Props & { attendant: AttendantHeard }) =>
  attended.isHeard ? (
    <p class="presence">
      <b>{attendant.name} is here</b>
      {readsInWords(attendant, !attended.isRunner)}
    </p>
  ) : (
    <p class="presence silent">
      <b>{attendant.name}</b> was last heard {formatDuration(attended.silentS)} ago, at{" "}
      <Moment at={attendant.heardAt} form="clock" />.{" "}
      {attended.running === null
        ? "Perhaps it is starting anew."
        : "It may have frozen or restarted; once it is back, it says when."}
    </p>
  );

function readsInWords({ reads, cannotRead }: AttendantHeard, withTemperature: boolean): string {
  const words = [
    withTemperature && reads?.tempC != null ? `${formatNumber(reads.tempC, 0)}\u00a0°C` : null,
    reads?.clockMhz != null ? `${formatNumber(reads.clockMhz, 0)}\u00a0MHz` : null,
    reads?.powerW != null ? `${formatNumber(reads.powerW, 0)}\u00a0W` : null,
  ].filter((one) => one !== null);
  const missing = (cannotRead ?? []).filter((what) =>
    ["temperature", "clock", "power", "voltage"].includes(what),
  );
  const unread = missing.length === 0 ? "" : `; it cannot read ${missing.join(", ")}`;
  return `${words.length === 0 ? "" : `, ${words.join(", ")}`}${unread}`;
}
