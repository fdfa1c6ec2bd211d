import { isCrash, type Outcome } from "../bench/things/outcome.ts";

/** What the journal keeps of an attempt, as far as it is looked at here. */
export type EarlierAttempt = Readonly<{
  id: string;
  outcome: Outcome;
  workloadId: string;
  clockMhz: number | null;
  voltageMv: number | null;
  durationS: number | null;
  loadVoltageMv: number | null;
  powerW: number | null;
  powerAt: string | null;
  loadTempC: number | null;
}>;

export type SettingQuestion = Readonly<{
  clockMhz: number | null;
  voltageMv: number | null;
  workloadId: string;
}>;

/** What earlier attempts of the build let be expected of one. */
export type Expected = Readonly<{
  powerW: number | null;
  loadTempC: number | null;
  /** How far the voltage under load lay below the one that was set. */
  droopMv: number | null;
  /** Whether this load has run to its end here before. */
  hasWorked: boolean;
}>;

const clean: readonly Outcome[] = ["pass", "stopped"];
/** So far apart in V²f, what one setting drew says nothing of another. */
const farthest = 1.6;
const shortS = 120;

/** Power and rise go with V²f (switching power); the nearest settings tell, the middle of at most five of them. */
export function expectedOf(earlier: readonly EarlierAttempt[], asked: SettingQuestion): Expected {
  const same = earlier.filter(
    ({ workloadId, outcome, durationS }) =>
      workloadId === asked.workloadId && clean.includes(outcome) && (durationS ?? 0) > 0,
  );
  const workOf = ({ clockMhz, voltageMv }: Pick<SettingQuestion, "clockMhz" | "voltageMv">) =>
    clockMhz === null || voltageMv === null ? null : clockMhz * voltageMv ** 2;
  const work = workOf(asked);
  const near = same.flatMap((one) => {
    const other = workOf(one);
    const share = work === null || other === null ? 1 : work / other;
    return share <= farthest && share >= 1 / farthest ? [{ one, share }] : [];
  });
  near.sort((a, b) => Math.abs(Math.log(a.share)) - Math.abs(Math.log(b.share)));
  const middle = (readBy: (of: (typeof near)[number]) => number | null) =>
    median(near.flatMap((of) => readBy(of) ?? []).slice(0, 5));
  return {
    powerW: middle(({ one, share }) =>
      one.powerW === null || one.powerAt === "wall" ? null : one.powerW * share,
    ),
    loadTempC: middle(({ one }) => ((one.durationS ?? 0) >= shortS ? one.loadTempC : null)),
    droopMv: median(
      earlier
        .filter(({ workloadId }) => workloadId === asked.workloadId)
        .flatMap(({ voltageMv, loadVoltageMv }) =>
          voltageMv === null || loadVoltageMv === null ? [] : [voltageMv - loadVoltageMv],
        )
        .slice(0, 5),
    ),
    hasWorked:
      same.some(({ durationS }) => (durationS ?? 0) >= 60) || earlier.some(hasLoaded(asked.workloadId)),
  };
}

const hasLoaded = (load: string) => (one: EarlierAttempt) =>
  one.workloadId === load && isCrash(one.outcome) && (one.durationS ?? 0) >= 60;

export function median(values: readonly number[]): number | null {
  const sorted = [...values].sort((a, b) => a - b);
  const at = (sorted.length - 1) / 2;
  if (sorted.length === 0) return null;
  return ((sorted[Math.floor(at)] ?? 0) + (sorted[Math.ceil(at)] ?? 0)) / 2;
}
