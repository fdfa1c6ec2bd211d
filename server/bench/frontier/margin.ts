import { type Chip, readLimitC } from "../things/chip.ts";
import type { EvidenceRow, TriedRow } from "../things/evidenceRow.ts";
import type { Setting } from "../things/setting.ts";
import { evidenceClockMhz } from "./evidence.ts";

export type MarginState = "ok" | "tight" | "over" | "unknown";

/** A run shorter than this, with no trace to show it, may not have levelled out (common practice: a quarter of an hour). */
const levelledAfterS = 600;

/** The chip's limit at its main place, and at others where it has them. */
export type HeatLimits = Pick<Chip, "tempLimitC" | "warnMarginC"> &
  Partial<Pick<Chip, "limits" | "kind" | "controlOffsetC">>;

/** A memory module takes 20 to 40 minutes to level (common practice). */
const moduleLevelledAfterS = 1200;

const levelledAfterSOf = ({ kind }: Pick<HeatLimits, "kind">): number =>
  kind === "memory" ? moduleLevelledAfterS : levelledAfterS;

/** Temperature limit minus load temperature, at the hottest room the owner plans for. */
export type MarginReading = Readonly<{
  loadTempC: number | null;
  /** The smallest over all places that were read and have a limit of their own. */
  marginC: number | null;
  margin: MarginState;
  /** The margin is taken against the room of the run itself, since no ambient was read. */
  withoutAmbient: boolean;
  /** Every run it rests on may have ended before the temperature levelled out. */
  tooShort: boolean;
}>;

export function marginState(marginC: number | null, warnMarginC: number): MarginState {
  if (marginC === null) return "unknown";
  if (marginC < 0) return "over";
  return marginC > warnMarginC ? "ok" : "tight";
}

/** How far a margin lies off the limit, on either side; what comes to less than a degree is not said to be none. */
export const wholeDegrees = (marginC: number): string => {
  const degrees = Math.round(Math.abs(marginC));
  return degrees === 0 ? "less than 1" : String(degrees);
};

type Read = Readonly<{ pass: TriedRow; tempC: number }>;

const readAt = (passes: readonly TriedRow[], tempOf: (pass: TriedRow) => number | null): Read[] =>
  passes.flatMap((pass) => {
    const tempC = tempOf(pass);
    return tempC === null ? [] : [{ pass, tempC }];
  });

const atMainPlace = ({ loadTempC, peakTempC }: TriedRow): number | null => loadTempC ?? peakTempC;

const at =
  (place: string) =>
  ({ temps }: TriedRow): number | null =>
    temps !== null && Object.hasOwn(temps, place) ? (temps[place] as number) : null;

/** What the passes at one setting say of its margin. A reading is never held against the limit of another place. */
export function marginOf(
  passes: readonly TriedRow[],
  chip: HeatLimits,
  hottestAmbientC: number,
): MarginReading {
  const main = readAt(passes, atMainPlace);
  const elsewhere = Object.entries(chip.limits ?? {}).flatMap(([place, limitC]) => {
    const read = readAt(passes, at(place));
    return read.length === 0 ? [] : [{ read, limitC }];
  });
  const places = [...(main.length === 0 ? [] : [{ read: main, limitC: readLimitC(chip) }]), ...elsewhere];
  if (places.length === 0)
    return { loadTempC: null, marginC: null, margin: "unknown", withoutAmbient: false, tooShort: false };
  const marginC = Math.min(
    ...places.map(({ read, limitC }) => limitC - atHottestRoomC(read, hottestAmbientC)),
  );
  const read = places.flatMap((place) => place.read);
  return {
    loadTempC: main.length === 0 ? null : hottestOf(main),
    marginC,
    margin: marginState(marginC, chip.warnMarginC),
    withoutAmbient: read.every(({ pass }) => pass.ambientC === null),
    tooShort: read.every(({ pass }) => !pass.traced && pass.durationS < levelledAfterSOf(chip)),
  };
}

/** What the passes that truly ran at one setting say of its margin. */
export const marginReadAt = (
  rows: readonly EvidenceRow[],
  { clockMhz, voltageMv }: Setting,
  chip: HeatLimits,
  hottestAmbientC: number,
): MarginReading =>
  marginOf(
    rows.filter(
      (row) => row.outcome === "pass" && row.voltageMv === voltageMv && evidenceClockMhz(row) === clockMhz,
    ),
    chip,
    hottestAmbientC,
  );

const hottestOf = (read: readonly Read[]): number => Math.max(...read.map(({ tempC }) => tempC));

/** As it would be in the hottest room, where any run read its own; else as it was. */
function atHottestRoomC(read: readonly Read[], hottestAmbientC: number): number {
  const rises = read.flatMap(({ pass, tempC }) => (pass.ambientC === null ? [] : [tempC - pass.ambientC]));
  return rises.length > 0 ? hottestAmbientC + Math.max(...rises) : hottestOf(read);
}
