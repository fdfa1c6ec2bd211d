import type { FastifyRequest } from "fastify";
import { type NoiseOfBuild, noiseConditionsOf, noiseOfBuild } from "../../answers/noiseOfBuild.ts";
import type { NoiseCondition } from "../../bench/comparison/buildLoudness.ts";
import type { NoiseReading } from "../../bench/noise/noiseReading.ts";
import type { Build } from "../../bench/things/build.ts";
import type { UnitOfClock } from "../../bench/things/words.ts";
import type { Workload } from "../../bench/things/workload.ts";
import { formatMilli, formatNumber } from "../../html/format.ts";
import { idAsked } from "../kit/addressed.ts";
import { type LoadNames, loadNames } from "../kit/attemptTable.tsx";
import { unitsOfBuild } from "../kit/clockUnit.ts";
import type { PageContext } from "../kit/context.ts";
import type { FormState } from "../kit/forms.ts";
import type { Gone } from "../kit/goneNotice.tsx";
import { formOnce } from "../kit/once.tsx";
import { type HistoryShown, historyOf } from "../kit/thingHistory.tsx";
import { readingBegun } from "./form.ts";

export type NoiseShown = Readonly<{
  answer: NoiseOfBuild;
  loads: LoadNames;
  clockUnit: UnitOfClock;
  workloads: readonly Workload[];
  conditions: readonly NoiseCondition[];
  builds: readonly Build[];
  /** The reading being changed; null while one is added. */
  editing: NoiseReading | null;
  /** Of the one being changed. */
  history: HistoryShown | null;
  /** The reading just kept. */
  kept: NoiseReading | null;
  form: FormState;
  gone: Gone | null;
}>;

/** The build asked for, else the one that was tried or read last, else any. */
export function buildAskedFor(request: FastifyRequest, { journal }: PageContext): string | null {
  return (
    idAsked(request, "build", "build") ??
    journal.attempts.newest()?.buildId ??
    journal.builds.all()[0]?.id ??
    null
  );
}

export function noiseShown(
  context: PageContext,
  buildId: string,
  now: string,
  more: Partial<Pick<NoiseShown, "editing" | "kept" | "form" | "gone">> = {},
): NoiseShown {
  const { journal } = context;
  const answer = noiseOfBuild(journal, buildId);
  const workloads = journal.workloads.all();
  const editing = more.editing ?? null;
  const conditions = withOwn(noiseConditionsOf(journal, buildId), editing ?? answer.readings[0]);
  return {
    answer,
    workloads,
    loads: loadNames(workloads),
    clockUnit: unitsOfBuild(journal, buildId)?.clockUnit ?? "MHz",
    conditions,
    builds: journal.builds.all(),
    editing,
    history: editing === null ? null : historyOf("noise", editing.id, journal),
    kept: more.kept ?? null,
    form: more.form ?? formOnce(context, readingBegun(answer.readings[0], conditions, now)),
    gone: more.gone ?? null,
  };
}

/** The condition of the reading itself is always among those to choose from. */
function withOwn(
  conditions: readonly NoiseCondition[],
  own: NoiseCondition | undefined,
): readonly NoiseCondition[] {
  const isSame = (one: NoiseCondition): boolean =>
    one.workloadId === own?.workloadId && one.clockMhz === own?.clockMhz && one.voltageMv === own?.voltageMv;
  return own === undefined || conditions.some(isSame) ? conditions : [...conditions, own];
}

/** "Stacking, 4550 MHz at 1.200 V"; "fans only" where nothing is named. */
export function conditionWords(
  { workloadId, clockMhz, voltageMv }: NoiseCondition,
  { loads, clockUnit }: Pick<NoiseShown, "loads" | "clockUnit">,
): string {
  const load = workloadId === null ? null : (loads.get(workloadId) ?? "a load");
  const clock = clockMhz === null ? null : `${formatNumber(clockMhz)} ${clockUnit}`;
  const voltage = voltageMv === null ? null : `${formatMilli(voltageMv)} V`;
  const setting = [clock, voltage].filter((part) => part !== null).join(" at ");
  return [load, setting].filter(Boolean).join(", ") || "fans only";
}
