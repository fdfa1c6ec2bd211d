import type { TriedRow } from "../things/evidenceRow.ts";
import { outcomeClass } from "../things/outcome.ts";

/** How far a chip's hottest spot stands over its main place under load, and how much that grew on the present mount. */
export type HotspotOverEdge = Readonly<{
  place: string;
  nowC: number;
  /** Null until the mount has three runs at its beginning and three after them. */
  grewC: number | null;
  /** True where it grew more than the readings scatter, and by enough to look at paste and contact. */
  grew: boolean;
  runs: number;
}>;

type Read = Pick<
  TriedRow,
  "mountId" | "workloadId" | "outcome" | "durationS" | "loadTempC" | "temps" | "powerW"
>;

/** From where on a growth is worth a look at the paste (common practice). */
const worthLookingC = 5;
const levelledFromS = 600;
const few = 3;

const spots = ["hotspot", "junction"] as const;

/**
 * Read from runs of ten minutes or longer under the load run last, on the mount put on last; where power was read, in
 * proportion to it, since the difference grows with the watts that pass. Null where nothing was read so.
 */
export function hotspotOverEdge(rows: readonly Read[]): HotspotOverEdge | null {
  const place = spots.find((spot) => rows.some(({ temps }) => temps !== null && Object.hasOwn(temps, spot)));
  if (place === undefined) return null;
  const read = rows.flatMap((row) => {
    const tempC = row.temps !== null && Object.hasOwn(row.temps, place) ? row.temps[place] : undefined;
    const kind = outcomeClass(row.outcome);
    const isLevelled = (kind === "pass" || kind === "stopped") && row.durationS >= levelledFromS;
    return tempC === undefined || row.loadTempC === null || !isLevelled
      ? []
      : [{ row, overC: tempC - row.loadTempC }];
  });
  const last = read.at(-1)?.row;
  if (last === undefined) return null;
  const own = read.filter(({ row }) => row.mountId === last.mountId && row.workloadId === last.workloadId);
  const nowC = meanOf(own.slice(-few).map(({ overC }) => overC));
  const unknown = { place, nowC, grewC: null, grew: false, runs: own.length };
  if (own.length < 2 * few) return unknown;
  const powers = own.flatMap(({ row }) => row.powerW ?? []);
  const usualW = powers.length === own.length ? meanOf(powers) : null;
  const alike = own.map(({ row, overC }) =>
    usualW === null ? overC : (overC * usualW) / (row.powerW ?? usualW),
  );
  const [first, now] = [alike.slice(0, few), alike.slice(-few)];
  const grewC = meanOf(now) - meanOf(first);
  const scatterC = Math.sqrt((varianceOf(first) + varianceOf(now)) / few + roundingC ** 2);
  return { ...unknown, grewC, grew: grewC >= worthLookingC && grewC > 2.78 * scatterC };
}

/** Sensors tell whole degrees; the mean of three of two places is not known better. */
const roundingC = 0.35;

/** "The hotspot stands 19 °C above the edge: it grew 6 degrees since this mount, paste or contact." */
export function hotspotInWords(
  { place, nowC, grewC, grew }: HotspotOverEdge,
  mainPlace: string | null,
): string {
  const stands = `The ${place} stands ${nowC.toFixed(0)} °C above the ${mainPlace ?? "main place"}`;
  if (grewC === null) return `${stands}.`;
  return grew
    ? `${stands}: it grew ${grewC.toFixed(0)} degrees since this mount, paste or contact. Look at both before going further.`
    : `${stands}, as when this mount was new.`;
}

const meanOf = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length;

function varianceOf(values: readonly number[]): number {
  const mean = meanOf(values);
  return values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (values.length - 1);
}
