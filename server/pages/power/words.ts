import { hardestRead, type OffsetPower } from "../../bench/power/offsetPower.ts";
import type { PowerAccount } from "../../bench/power/powerAccount.ts";
import type { Found } from "../../bench/runs/electricalRun.ts";
import type { UnitOfClock } from "../../bench/things/words.ts";
import { decimalsFor, formatCount, formatMilli, formatNumber } from "../../html/format.ts";
import { offsetsSpan } from "../kit/settingWords.tsx";
import { unparted } from "../kit/unparted.ts";

const placeWords = { chip: "the chip", board: "the board", wall: "the wall" } as const;

/** "7 readings at the board"; those of which nobody said where they were taken are not told as if somebody had. */
export function readingsWords(
  count: number,
  { powerAt, powerAtSaid }: Pick<PowerAccount, "powerAt" | "powerAtSaid">,
): string {
  const readings = formatCount(count, "reading");
  if (powerAtSaid === "none") return `${readings}, not said where and taken to be at ${placeWords[powerAt]}`;
  return `${readings} at ${placeWords[powerAt]}${powerAtSaid === "some" ? ", or not said where" : ""}`;
}

/** "22 W (10 to 34)"; without ends where two readings leave none. */
export function foundWords({ value, low, high }: Found, unit: string): string {
  if (low === null || high === null) return `${formatNumber(value, Math.abs(value) < 10 ? 1 : 0)} ${unit}`;
  const digits = Math.min(3, decimalsFor((high - low) / 2));
  return `${formatNumber(value, digits)} ${unit} (${formatNumber(low, digits)} to ${formatNumber(high, digits)})`;
}

/** How power grows, in a few sentences. */
export function fitWords(account: PowerAccount): string {
  const { fit, wall } = account;
  if ("unknown" in fit) return fit.unknown;
  const { switchedCapacitanceNf, staticW, staticAt, unseparated, readings, residualW } = fit;
  const from = `${readingsWords(readings, account)}, about ${formatNumber(residualW, residualW < 10 ? 1 : 0)} W off the fit`;
  const accuracy = "The ends hold the scatter of readings, not what the meter itself is off.";
  const at = wall === null ? "" : ` ${wall.words}`;
  if (switchedCapacitanceNf === null || staticW === null) return `${unseparated} ${from}.${at}`;
  const where = `${formatMilli(Math.round(staticAt.voltageMv))} V and ${formatNumber(staticAt.tempC, 0)} °C`;
  return `Power grows with V²·f by ${foundWords(switchedCapacitanceNf, "nF")}; at ${where} ${foundWords(staticW, "W")} leak, more with voltage and heat: ${from}. ${accuracy}${at}`;
}

const percent = (share: number): string => `${formatNumber(Math.abs(share) * 100, 1)} %`;

/** What the last step up costs, as a heading. */
export function lastStepWords(account: PowerAccount, name: string, load: string, unit: UnitOfClock): string {
  const { lastStep, lastStepByFit, efficiency } = account;
  if (lastStep !== null) {
    const { fromMhz, toMhz, extraClockShare, extraScoreShare } = lastStep;
    const extraW = lastStepByFit?.value ?? lastStep.extraW;
    const gain =
      extraScoreShare === null
        ? `${percent(extraClockShare)} more clock`
        : `${percent(extraScoreShare)} ${extraScoreShare < 0 ? "less" : "more"} score`;
    const about = lastStepByFit === null ? "" : "about ";
    const cost = `${extraW < 0 ? "saves" : "costs"} ${about}${formatNumber(Math.abs(extraW), digitsOf(lastStepByFit))} W${endsWords(lastStepByFit, extraW < 0)}`;
    return `${name}: the last step, ${formatNumber(fromMhz)} to ${formatNumber(toMhz)} ${unit}, ${cost} for ${gain}`;
  }
  const [only] = efficiency;
  return only === undefined
    ? `What ${name} draws is not known yet`
    : `${name} draws ${formatNumber(only.powerW, 0)} W under ${load}`;
}

/** "Rig draws 231 W at +120 MHz under Deconvolve": the hardest offset whose power was read, as a heading. */
export function offsetHeading(
  rows: readonly OffsetPower[],
  name: string,
  load: string,
  unit: string | undefined,
): string {
  const hardest = hardestRead(rows);
  if (hardest === undefined) return `What ${name} draws is not known yet`;
  const drawn = `draws ${formatNumber(hardest.powerW, 0)} W at ${atWords(hardest, unit)}`;
  return `${name} ${unparted(drawn)} under ${load}`;
}

/** "+120 MHz", "−45 to −25 mV on 3 parts". */
const atWords = ({ offsets, words }: OffsetPower, unit: string | undefined): string =>
  offsets === null
    ? words
    : `${offsetsSpan(offsets, unit)} on ${formatCount(Object.keys(offsets).length, "part")}`;

/** What going that far costs over the easiest offset with the same knobs, and how far the figures are to be trusted. */
export function offsetPowerWords(
  account: PowerAccount,
  clockUnit: UnitOfClock,
  unit: string | undefined,
): string {
  const { byOffset, wall, fit } = account;
  const read = (byOffset ?? []).filter(({ powerW }) => powerW !== null);
  const hardest = hardestRead(read);
  if (hardest === undefined) return "unknown" in fit ? fit.unknown : "";
  const easiest = read.find((row) => row === hardest || isBeside(row, hardest));
  const cost =
    easiest === undefined || easiest === hardest
      ? []
      : [costWords(easiest, hardest, atWords(easiest, unit), clockUnit)];
  const readings = read.reduce((sum, row) => sum + row.powerReadings, 0);
  const from = `From ${readingsWords(readings, account)}.`;
  const accuracy = read.some(({ powerEnds }) => powerEnds !== null)
    ? "The ends hold the scatter of readings, not what the meter itself is off."
    : "No offset was read twice: how far readings scatter is not known.";
  return [...cost, from, accuracy, ...(wall === null ? [] : [wall.words])].join(" ");
}

/** The same knobs and the same parts at another offset. */
const isBeside = (row: OffsetPower, other: OffsetPower): boolean =>
  (row.offset === null) === (other.offset === null) &&
  row.part === other.part &&
  JSON.stringify(row.knobs) === JSON.stringify(other.knobs);

/** "12 W more than at 0 MHz, for 3.1 % more score." */
function costWords(from: OffsetPower, to: OffsetPower, at: string, clockUnit: UnitOfClock): string {
  const extraW = Math.round((to.powerW ?? 0) - (from.powerW ?? 0));
  const watts =
    extraW === 0 ? "As many watts as" : `${Math.abs(extraW)} W ${extraW < 0 ? "less" : "more"} than`;
  const gain =
    gainWords(from.score, to.score, "score") ??
    gainWords(from.clockMhz, to.clockMhz, clockUnit === "MHz" ? "clock" : "speed");
  return `${watts} at ${at}${gain ?? ""}.`;
}

function gainWords(before: number | null, after: number | null, what: string): string | null {
  if (before === null || after === null) return null;
  const share = after / before - 1;
  const told = percent(share);
  return told === percent(0)
    ? `, at the same ${what}`
    : `, for ${told} ${share < 0 ? "less" : "more"} ${what}`;
}

/** A figure and its ends are written alike. */
const digitsOf = (found: Found | null): number =>
  found === null || found.low === null || found.high === null
    ? 0
    : Math.min(2, decimalsFor((found.high - found.low) / 2));

/** " (9 to 14)", without signs where all of it saves. */
function endsWords(found: Found | null, saves: boolean): string {
  if (found === null || found.low === null || found.high === null) return "";
  const [low, high] = saves ? [-found.high, -found.low] : [found.low, found.high];
  const digits = digitsOf(found);
  return ` (${formatNumber(low, digits)} to ${formatNumber(high, digits)})`;
}
