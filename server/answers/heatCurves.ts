import type { HeatRun } from "../bench/heat/heatReading.ts";
import { likeGroups } from "../bench/heat/likeRuns.ts";
import type { Attempt } from "../bench/things/attempt.ts";
import type { TraceWindow } from "../store/traces/traceWindows.ts";
import { type HeatRooms, traceKnown, traceOfAttempt } from "./heatReckoned.ts";

/** One run of a build with what its trace says, and the columns it is drawn from. */
export type TracedHeat = Readonly<{ attempt: Attempt; run: HeatRun; window: TraceWindow }>;

export type HeatCurves = Readonly<{
  curves: readonly TracedHeat[];
  /** False while a long trace is being read; it is left out until then. */
  fresh: boolean;
}>;

/** So many of the newest runs with a trace are looked through. */
const lookedThrough = 500;
const columnsDrawn = 300;

/** The newest run of each of these builds at the setting and load that most of them have a trace of. */
function likeRunsOf({ journal }: HeatRooms, buildIds: readonly string[]): readonly Attempt[] {
  const traced = journal.traces.attempts.page({ limit: lookedThrough, after: null }).items;
  const ended = traced.filter(
    ({ buildId, outcome, setAside }) =>
      buildIds.includes(buildId) && outcome !== "running" && setAside === null,
  );
  const [most = []] = likeGroups(ended);
  return buildIds.flatMap((id) => most.find(({ buildId }) => buildId === id) ?? []);
}

/** Heat of these builds, like with like, as far as it is read; long traces are asked for. */
export function latestHeatCurves(rooms: HeatRooms, buildIds: readonly string[]): HeatCurves {
  const found = likeRunsOf(rooms, buildIds).map((attempt) => ({
    attempt,
    known: traceKnown(rooms, attempt),
  }));
  const curves = found.flatMap(({ attempt, known }): TracedHeat[] => {
    if (known === null || known === "awaited" || known.heat === null) return [];
    const wanted = { channels: ["temperature", "ambient"], points: columnsDrawn };
    const window = rooms.journal.traces.window(attempt.id, wanted);
    return window === undefined ? [] : [{ attempt, run: known.heat.run, window }];
  });
  return { curves, fresh: found.every(({ known }) => known !== "awaited") };
}

/** The same; waits for long traces. */
export async function heatCurves(rooms: HeatRooms, buildIds: readonly string[]): Promise<HeatCurves> {
  await Promise.all(likeRunsOf(rooms, buildIds).map((attempt) => traceOfAttempt(rooms, attempt)));
  return latestHeatCurves(rooms, buildIds);
}
