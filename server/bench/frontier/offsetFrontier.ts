import type { KnobGroup } from "../order/knobs.ts";
import { hardnessOf, type OffsetMeaning } from "../order/partsOfRun.ts";
import { plainTerms } from "../order/terms.ts";
import type { TriedRow } from "../things/evidenceRow.ts";
import { meetsRule } from "./acceptanceRule.ts";
import type { AnyTrial, LookedAt, OrderedTry } from "./evidence.ts";
import { type Evidence, evidenceAt, noEvidence } from "./frontierEvidence.ts";
import type { FrontierQuestion, KnobsSet } from "./frontierPoint.ts";
import { knobsOf } from "./groupFrontier.ts";
import { type MarginState, marginOf } from "./margin.ts";
import { type OffsetTrials, offsetTrialsOf, type TogetherTrial } from "./offsetTrials.ts";
import { type SettingsTried, settingsOf } from "./settingsTried.ts";

/** How far one part goes; null where nothing is known. */
export type OffsetRow = Readonly<{
  /** Null for a chip that is set as a whole. */
  part: string | null;
  hardestPassed: number | null;
  heldOffset: number | null;
  easiestCrash: number | null;
  /** From the held offset to the easiest that failed, in the offset's unit. */
  gap: number | null;
  evidence: Evidence;
  loadTempC: number | null;
  marginC: number | null;
  margin: MarginState;
  contested: readonly string[];
  knobs: KnobsSet | null;
}>;

/** The offsets held one at a time, as one list. */
type OffsetsTogether = Readonly<{
  /** Null where a part holds none yet. */
  offsets: Readonly<Record<string, number>> | null;
  /** They, or harder ones, have run together as long as the rule asks, and nothing contests it. */
  provedTogether: boolean;
  /** The longest pass of all parts at these offsets or harder ones, in seconds. */
  longestS: number;
  /** Failures of all parts at these offsets or easier ones. */
  contestedBy: readonly string[];
}>;

export type OffsetFrontier = Readonly<{
  rows: readonly OffsetRow[];
  /** Null for a chip that is set as a whole. */
  together: OffsetsTogether | null;
  leftOut: LookedAt["leftOut"];
  attempts: number;
}>;

export type OffsetQuestion = FrontierQuestion<OrderedTry>;

/** The hardest offset of each part that passed, what held of it, and whether all of them ran together. */
export function offsetFrontierOf(question: OffsetQuestion, meaning: OffsetMeaning): OffsetFrontier {
  const { terms = plainTerms } = question;
  const seen = offsetTrialsOf(question, terms, meaning);
  const read = seen.parts.map((part) => rowOf(part, seen, question, meaning));
  const rows = read.map(({ row }) => row);
  const attempts = new Set(seen.parts.flatMap((part) => seen.trialsOf(part).map(({ row }) => row.id)));
  for (const { row } of seen.together) attempts.add(row.id);
  return {
    rows,
    together: seen.parts[0] === null ? null : togetherOf(read, seen, question),
    leftOut: seen.leftOut,
    attempts: attempts.size,
  };
}

function rowOf(
  part: string | null,
  seen: OffsetTrials,
  question: OffsetQuestion,
  meaning: OffsetMeaning,
): PartRead {
  const trials = seen.trialsOf(part);
  const settings = sweptBy(trials, seen, question, meaning);
  const held = hardestHeld(settings, meaning);
  const passed = trials.filter((trial) => trial.class === "pass").map(hardness);
  const crashed = trials.filter((trial) => trial.class === "crash").map(hardness);
  const [hardestPassed, easiestCrash] = [Math.max(...passed), Math.min(...crashed)];
  const margin = marginOf(held?.passes ?? [], question.chip, question.hottestAmbientC);
  const offset = (of: number): number | null => (Number.isFinite(of) ? hardnessOf(of, meaning.harder) : null);
  const row: OffsetRow = {
    part,
    hardestPassed: offset(hardestPassed),
    heldOffset: held === null ? null : offset(held.hardness),
    easiestCrash: offset(easiestCrash),
    gap: held === null || !Number.isFinite(easiestCrash) ? null : easiestCrash - held.hardness,
    evidence: held === null ? noEvidence : evidenceOf(held, trials, seen, margin.margin, meaning),
    loadTempC: margin.loadTempC,
    marginC: margin.marginC,
    margin: margin.margin,
    contested: contestedIn(settings, trials),
    knobs: held === null ? null : knobsOf(held.group),
  };
  return { row, held };
}

const hardness = ({ clockMhz }: AnyTrial): number => clockMhz as number;

type PartRead = Readonly<{ row: OffsetRow; held: Held | null }>;
type Held = Readonly<{ hardness: number; group: KnobGroup; passes: readonly TriedRow[] }>;

/**
 * An offset that is harder downward gives less, so that it is swept as a voltage is and a failure near the temperature
 * limit speaks of its own offset alone; one that is harder upward asks more, as a clock does.
 */
function sweptBy(
  trials: readonly AnyTrial[],
  { order }: OffsetTrials,
  { chip, requires, terms = plainTerms }: OffsetQuestion,
  { harder }: OffsetMeaning,
): SettingsTried {
  const turned = (trial: AnyTrial): AnyTrial => ({ ...trial, voltageMv: 0 - hardness(trial), clockMhz: 0 });
  const swept = harder === "down" ? trials.map(turned) : trials;
  return settingsOf(swept, requires, { chip, order, startsDraw: terms.startsDraw });
}

function hardestHeld(settings: SettingsTried, { harder }: OffsetMeaning): Held | null {
  for (const voltageMv of settings.voltagesMv) {
    const held = settings.heldAt(voltageMv);
    if (held === null) continue;
    const { group, passes, clockMhz } = held;
    return { group, passes, hardness: harder === "down" ? 0 - voltageMv : clockMhz };
  }
  return null;
}

const contestedIn = (settings: SettingsTried, trials: readonly AnyTrial[]): string[] => {
  const contested = new Set(
    settings.voltagesMv.flatMap((voltageMv) => settings.contestedAt(voltageMv).map(({ row }) => row.id)),
  );
  return trials.flatMap(({ row }) => (contested.has(row.id) ? [row.id] : []));
};

/** Near its limit, more voltage may be the harder: then clean time counts at the held offset alone. */
function evidenceOf(
  { hardness: clockMhz, group }: Held,
  trials: readonly AnyTrial[],
  { order }: OffsetTrials,
  margin: MarginState,
  { harder }: OffsetMeaning,
): Evidence {
  const isTrusted = harder === "up" || margin === "ok" || margin === "unknown";
  const counted = trials.filter(
    (trial) => isTrusted || trial.class === "crash" || trial.clockMhz === clockMhz,
  );
  const groups = [...new Set(trials.map((trial) => trial.group))];
  return evidenceAt({ voltageMv: 0, clockMhz, group }, { trials: counted, order, groups }, true);
}

/** The list compares with a run where every part's knobs do. */
function togetherOf(
  read: readonly PartRead[],
  { together, order }: OffsetTrials,
  { requires }: OffsetQuestion,
): OffsetsTogether {
  const held = read.flatMap(({ held }) => held ?? []);
  if (held.length < read.length) return notYet;
  const list = held.map(({ hardness }) => hardness);
  const isAsHardAsList = (run: TogetherTrial): boolean =>
    isAsHardAs(run.hardness, list) && held.every(({ group }) => order.isAsHard(run.group, group));
  const isWithinList = (run: TogetherTrial): boolean =>
    isAsHardAs(list, run.hardness) && held.some(({ group }) => order.isAsHard(group, run.group));
  const crashes = together.filter((run) => run.class === "crash");
  const isContested = (pass: TogetherTrial): boolean =>
    crashes.some(
      (crash) => isAsHardAs(pass.hardness, crash.hardness) && order.isAsHard(pass.group, crash.group),
    );
  const passes = together
    .filter((run) => run.class === "pass" && isAsHardAsList(run) && !isContested(run))
    .map(({ row }) => row);
  const contestedBy = crashes.filter(isWithinList).map(({ row }) => row.id);
  return {
    offsets: Object.fromEntries(read.map(({ row }) => [row.part, row.heldOffset])),
    provedTogether: contestedBy.length === 0 && meetsRule(passes, requires),
    longestS: Math.max(0, ...passes.map(({ durationS }) => durationS)),
    contestedBy,
  };
}

const notYet: OffsetsTogether = { offsets: null, provedTogether: false, longestS: 0, contestedBy: [] };

const isAsHardAs = (run: readonly number[], than: readonly number[]): boolean =>
  run.every((own, i) => own >= (than[i] as number));
