import type { PowerAccount } from "../../bench/power/powerAccount.ts";
import type { Found } from "../../bench/runs/electricalRun.ts";
import { decimalsFor, formatCount, formatNumber } from "../../html/format.ts";

export const placeWords = { chip: "the chip", board: "the board", wall: "the wall" } as const;

/** "22 W (10 to 34)"; without ends where two readings leave none. */
export function foundWords({ value, low, high }: Found, unit: string): string {
  if (low === null || high === null) return `${formatNumber(value, Math.abs(value) < 10 ? 1 : 0)} ${unit}`;
  const digits = Math.min(3, decimalsFor((high - low) / 2));
  return `${formatNumber(value, digits)} ${unit} (${formatNumber(low, digits)} to ${formatNumber(high, digits)})`;
}

/** How power grows, in one or two sentences. */
export function fitWords({ fit }: PowerAccount): string {
  if ("unknown" in fit) return fit.unknown;
  const { switchedCapacitanceNf, staticW, readings, residualW, powerAt } = fit;
  const off =
    residualW === null ? "" : `, about ${formatNumber(residualW, residualW < 10 ? 1 : 0)} W off the line`;
  const odd =
    staticW.value < 0
      ? " A static part below zero means that leakage grows with heat more than a straight line has room for."
      : "";
  return `Power grows with V²·f by ${foundWords(switchedCapacitanceNf, "nF")} on top of a static part of ${foundWords(staticW, "W")}: ${formatCount(readings, "reading")} at ${placeWords[powerAt]}${off}.${odd}`;
}

const percent = (share: number): string => `${formatNumber(Math.abs(share) * 100, 1)} %`;

/** What the last step up costs, as a heading. */
export function lastStepWords(account: PowerAccount, name: string, load: string): string {
  const { lastStep, lastStepByFitW, efficiency } = account;
  if (lastStep !== null) {
    const { fromMhz, toMhz, extraClockShare, extraScoreShare } = lastStep;
    const extraW = lastStepByFitW ?? lastStep.extraW;
    const gain =
      extraScoreShare === null
        ? `${percent(extraClockShare)} more clock`
        : `${percent(extraScoreShare)} ${extraScoreShare < 0 ? "less" : "more"} score`;
    const about = lastStepByFitW === null ? "" : "about ";
    const cost = `${extraW < 0 ? "saves" : "costs"} ${about}${formatNumber(Math.abs(extraW), 0)} W`;
    return `${name}: the last step, ${formatNumber(fromMhz)} to ${formatNumber(toMhz)} MHz, ${cost} for ${gain}`;
  }
  const [only] = efficiency;
  return only === undefined
    ? `What ${name} draws is not known yet`
    : `${name} draws ${formatNumber(only.powerW, 0)} W under ${load}`;
}
