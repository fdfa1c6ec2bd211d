import type { AutomaticPoint } from "../../bench/frontier/automaticFrontier.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { Entry } from "../../html/entry.tsx";
import { formatMilli, formatNumber } from "../../html/format.ts";

/** How far the clock goes where the firmware chooses the voltage: never said to be at one. */
export const AutomaticEntry = ({ chip, found }: { chip: Chip; found: AutomaticPoint }) => (
  <Entry id="automatic">
    <h2>On automatic voltage</h2>
    <p class="lead">
      {found.heldMhz === null
        ? "No clock was held there yet."
        : `${formatNumber(found.heldMhz)} ${chip.clockUnit} held on automatic voltage.`}
      {found.lowestCrashMhz === null
        ? ""
        : ` It failed at ${formatNumber(found.lowestCrashMhz)} ${chip.clockUnit}.`}
    </p>
    {found.loadVoltages.map(({ readAt, lowMv, highMv }) => (
      <p class="quiet" key={readAt ?? "unsaid"}>
        Read under load{readAt === null ? "" : ` at ${readAt === "probe" ? "a probe" : `the ${readAt}`}`}:{" "}
        {lowMv === highMv ? formatMilli(lowMv) : `${formatMilli(lowMv)} to ${formatMilli(highMv)}`} V.
      </p>
    ))}
  </Entry>
);
