import { limitsJudged } from "../comparison/intervalRows.ts";
import type { LoudnessRow } from "../comparison/loudness.ts";
import type { SameSettingRow } from "../comparison/sameSetting.ts";
import { tellingHeat, tellingNoise } from "../comparison/sentence.ts";
import { differsAlone, judgedBy, verdictSaid } from "../comparison/together.ts";
import type { Verdict } from "../comparison/verdict.ts";
import { clockWords } from "../things/words.ts";
import type { Account, AccountedComparison, Recommendation } from "./account.ts";
import { intervalFigure } from "./figures.ts";

/** Which of the builds suits the stated use, claiming no more than the verdicts do; empty for a single build. */
export const recommendationWords = (account: Account): string =>
  account.comparisons
    .map((compared) => (account.use === "quiet" ? quieterOf(compared) : furtherOf(account, compared)))
    .join(" ");

type Judged = Readonly<{ difference: number; low: number | null; high: number | null; verdict: Verdict }>;

/** The lesser one is the better one, of heat and of noise. */
const lesserOf = ({ aName, bName }: AccountedComparison, { difference }: Judged): string =>
  difference < 0 ? bName : aName;

/** From nearest to zero outward, without a sign. */
const apart = ({ difference, low, high }: Judged, decimals: number): string =>
  difference < 0
    ? intervalFigure(high === null ? null : 0 - high, low === null ? null : 0 - low, decimals)
    : intervalFigure(low, high, decimals);

function quieterOf(compared: AccountedComparison): string {
  const { aName, bName, comparison } = compared;
  const { together } = comparison;
  const noise = tellingNoise(comparison.noise);
  const stands = (row: SameSettingRow | LoudnessRow | undefined): boolean =>
    row?.verdict === "differs" && !differsAlone({ ...judgedBy(row), verdict: row.verdict }, together);
  if (noise && stands(noise))
    return `For quiet, ${lesserOf(compared, noise)}: ${apart(noise, 1)} dB(A) less under the same condition.`;
  const heat = tellingHeat(comparison.sameSetting);
  const heard =
    noise === undefined
      ? `Both ${aName} and ${bName} were never read with the sound level meter under the same condition`
      : `Of the loudness of ${aName} and ${bName} the record says: ${verdictSaid({ ...judgedBy(noise), verdict: noise.verdict }, together)}`;
  if (heat && stands(heat))
    return `${heard}. ${lesserOf(compared, heat)} runs cooler by ${apart(heat, 1)} °C at the same setting, which leaves its fans more room to slow down.`;
  return `${heard}, and of their heat no difference is shown either, so quiet does not decide between them.`;
}

/** The higher setting of the two, and whether their limits are told apart at all. */
function furtherOf(account: Account, compared: AccountedComparison): string {
  const { aName, bName, comparison } = compared;
  const settingOf = (name: string): Recommendation["setting"] =>
    account.recommendations.findLast(({ buildName }) => buildName === name)?.setting ?? null;
  const [a, b] = [settingOf(aName), settingOf(bName)];
  if (a === null || b === null) return "";
  if (a.clockMhz === b.clockMhz)
    return `${aName} and ${bName} come to the same clock for ${usesWords(account)}, ${clockWords(a.clockMhz, comparison.clockUnit)}.`;
  const [higher, by] =
    a.clockMhz > b.clockMhz ? [aName, a.clockMhz - b.clockMhz] : [bName, b.clockMhz - a.clockMhz];
  return `For ${usesWords(account)} ${higher} is to run ${clockWords(by, comparison.clockUnit)} higher, each at its own voltage; ${proofOf(compared, higher)}.`;
}

/** Two builds may each be after something else. */
const usesWords = ({ use }: Account): string => (use === "aim" ? "what each is after" : "this use");

/** At the same voltage the limits may say another thing than the settings do: heat and sureness come in between. */
function proofOf({ aName, bName, comparison }: AccountedComparison, higher: string): string {
  const { clock, together } = comparison;
  if (
    clock.verdict !== "differs" ||
    differsAlone({ ...limitsJudged(comparison), verdict: clock.verdict }, together)
  )
    return "at the same voltage no difference of their limits is shown";
  const further = clock.low !== null && clock.low > 0 ? bName : aName;
  return further === higher
    ? "at the same voltage, too, it goes further"
    : `at the same voltage ${further} goes further, but has no better setting that is cool and sure enough`;
}
