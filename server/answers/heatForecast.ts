import { type MarginState, marginState } from "../bench/frontier/margin.ts";
import { heatBoundsOf } from "../bench/heat/heatBounds.ts";
import { type HeatForecast, loadTempForecast } from "../bench/heat/lawOfHeat.ts";
import type { Build } from "../bench/things/build.ts";
import type { Chip } from "../bench/things/chip.ts";
import type { EvidenceRow } from "../bench/things/evidenceRow.ts";
import { missing } from "../bench/things/refusal.ts";
import type { Journal } from "../store/file/journal.ts";

export type ForecastQuestion = Readonly<{
  buildId: string;
  clockMhz: number;
  voltageMv: number;
  workloadId: string | null;
}>;

export type HeatExpected = Readonly<{
  build: Build;
  chip: Chip;
  /** In the hottest room planned for; `unknown` says why nothing can be said. */
  hottest: HeatForecast | Readonly<{ unknown: string }>;
  /** In the room last recorded; null where none was. */
  today: Readonly<{ ambientC: number; forecast: HeatForecast }> | null;
  /** From the forecast's hot end in the hottest room. */
  marginC: number | null;
  margin: MarginState;
  /** No attempt with a temperature was at so high a voltage or clock. */
  isBeyond: boolean;
  /** It may run below the chip's own cold limit today, or in the usual room where none was recorded. */
  isTooCold: boolean;
}>;

/** What a setting of a build would heat up to, before it is run. */
export function heatExpected(journal: Journal, asked: ForecastQuestion): HeatExpected {
  const build = journal.builds.find(asked.buildId);
  const chip = build && journal.chips.find(build.chipId);
  if (!build || !chip) throw missing("build");
  const rows = journal.attempts.evidenceOf(build.id);
  const mountId = journal.mounts.pageOf(build.id, { limit: 1, after: null }).items[0]?.id;
  const question = { ...asked, chip, workloads: journal.workloads.all(), mountId };
  const hottest = loadTempForecast(rows, { ...question, ambientC: build.hottestAmbientC });
  const roomC = rows.findLast((row) => row.ambientC !== null)?.ambientC ?? null;
  const today = roomC === null ? null : loadTempForecast(rows, { ...question, ambientC: roomC });
  const now = today ?? hottest;
  const marginC =
    "unknown" in hottest
      ? null
      : heatBoundsOf(chip, rows).leastMargin(hottest.high, build.hottestAmbientC).marginC;
  return {
    build,
    chip,
    hottest,
    today:
      roomC === null || today === null || "unknown" in today ? null : { ambientC: roomC, forecast: today },
    marginC,
    margin: marginState(marginC, chip.warnMarginC),
    isBeyond: isBeyond(rows, asked),
    isTooCold: chip.lowestTempC !== null && !("unknown" in now) && now.low < chip.lowestTempC,
  };
}

function isBeyond(rows: readonly EvidenceRow[], { clockMhz, voltageMv }: ForecastQuestion): boolean {
  const warm = rows.filter((row) => row.loadTempC !== null || row.peakTempC !== null);
  const seen = (of: "clockMhz" | "voltageMv") => warm.reduce((most, row) => Math.max(most, row[of]), 0);
  return voltageMv > seen("voltageMv") || clockMhz > 1.05 * seen("clockMhz");
}
