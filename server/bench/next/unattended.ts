import { type HeatLimits, marginOf } from "../frontier/margin.ts";
import type { Chip } from "../things/chip.ts";
import type { TriedRow } from "../things/evidenceRow.ts";
import type { Setting } from "../things/setting.ts";
import { ceilingPassed } from "../things/settingRules.ts";

/** Seconds that have to have passed at a setting before it is left to itself. */
const watchedS = 600;

type Unattended = Readonly<{
  setting: Setting;
  /** Every attempt of the build under a load that has ended. */
  rows: readonly TriedRow[];
  chip: Chip;
  hottestAmbientC: number;
  /** Whether the machine under test has shown that its attendant ends a load by heat. */
  cutOutTried: boolean;
}>;

/**
 * What stands against leaving a load to itself for hours at a setting that ran, each in words; empty where nothing does.
 * These are the usual conditions of running something hot that nobody watches (common practice).
 */
export function againstUnattended(of: Unattended): readonly string[] {
  const { setting, rows, chip } = of;
  const there = rows.filter(
    (row) => row.clockMhz === setting.clockMhz && row.voltageMv === setting.voltageMv,
  );
  const passes = there.filter(({ outcome }) => outcome === "pass");
  const knobs = passes.at(-1)?.knobs ?? null;
  const over = ceilingPassed({ voltageMv: setting.voltageMv, knobs }, chip);
  return [
    ...(of.cutOutTried ? [] : ["no machine attends that has shown its cut-out to work"]),
    ...(passes.some(({ durationS }) => durationS >= watchedS)
      ? []
      : ["ten minutes there have not passed while somebody could look"]),
    ...marginWords(passes, chip, of.hottestAmbientC),
    ...(over === null ? [] : [over.words]),
    ...(there.some(isBelowRoom)
      ? ["something ran colder than the room, where water may settle on the board"]
      : []),
  ];
}

function marginWords(passes: readonly TriedRow[], chip: HeatLimits, hottestAmbientC: number): string[] {
  const { margin } = marginOf(passes, chip, hottestAmbientC);
  if (margin === "ok") return [];
  return [margin === "unknown" ? "no temperature was read there" : "its thermal margin is small or gone"];
}

const isBelowRoom = ({ ambientC, loadTempC, lowestTempC, temps }: TriedRow): boolean =>
  ambientC !== null &&
  [loadTempC, lowestTempC, ...Object.values(temps ?? {})].some((tempC) => tempC !== null && tempC < ambientC);
