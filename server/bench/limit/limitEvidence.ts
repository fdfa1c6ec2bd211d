import { evidenceClockMhz } from "../frontier/evidence.ts";
import {
  assumedRoomC,
  type HeatUnknown,
  type LawOfHeat,
  lawOfHeatOf,
  levelledLoad,
  medianOf,
} from "../heat/lawOfHeat.ts";
import { idleShareOfRise } from "../heat/warmUp.ts";
import type { EvidenceRow } from "../things/evidenceRow.ts";
import { neverStarted, type Outcome, outcomeClass } from "../things/outcome.ts";
import type { PlacedAttempt } from "../things/placedAttempt.ts";
import { rowsMemory } from "../things/rowsMemory.ts";
import type { Workload } from "../things/workload.ts";
import { clockErrorsOf } from "./errorRate.ts";
import type { LimitFrame } from "./limitFrame.ts";
import type { Placing } from "./placing.ts";

/** What one attempt, or several alike, says of the limit. Times in minutes. */
export type LimitRecord = Readonly<{
  attemptIds: readonly string[];
  voltageMv: number;
  clockMhz: number;
  workloadId: string;
  /** 0 is the build asked about, others are builds of the same chip. */
  build: number;
  steadyTempC: number;
  failed: boolean;
  /** It failed to start: the load was never on. */
  atStart: boolean;
  /** From where it started up to its level. */
  warmUpC: number;
  /** Survived so long at least; of a failure, the start of the window in which it fell. */
  minutesFrom: number;
  /** How long the window of a failure is; of a survival, nothing. */
  minutesMore: number;
  /** How much harder than now its knobs stood, column by column; nothing where they stand as now. */
  shift: readonly number[] | null;
  /** Corrected errors of core or cache; null where nobody counted, or they are left out. */
  errors: number | null;
  /** How surely it stands at its voltage, where that was read and not set. */
  placing: Placing | null;
  /** How many attempts alike stand behind it. */
  count: number;
}>;

type Shifts = Readonly<Record<string, readonly number[]>>;

/** The heat of one build as the fit needs it: the law where there is one, else a usual rise. */
export type BuildHeat = Readonly<{
  roomC: number;
  law: LawOfHeat | null;
  riseC: (clockMhz: number, voltageMv: number, workloadId: string | null) => number;
  measured: number;
  expected: number;
}>;

/** Before any reading, a loaded chip at its stock point is taken to stand 45 °C above the room (common practice). */
const usualRiseC = 45;

export function buildHeatOf(rows: readonly EvidenceRow[], frame: LimitFrame): BuildHeat {
  const found: LawOfHeat | HeatUnknown = lawOfHeatOf(rows);
  const law = "unknown" in found ? null : found;
  const medianRoomC = medianOf(rows.flatMap(({ ambientC }) => ambientC ?? []));
  const measured = rows.filter((row) => levelledLoad(row, medianRoomC) !== null).length;
  return {
    roomC: medianRoomC ?? assumedRoomC,
    law,
    riseC:
      law?.riseC ??
      ((clockMhz, voltageMv) =>
        usualRiseC * (voltageMv / frame.voltageMv) ** 2.2 * (clockMhz / frame.clockMhz)),
    measured,
    expected: rows.length - measured,
  };
}

/** Attempts of a build that may speak of its limit: under a load, not on boost. */
export const loadedRows = (
  rows: readonly EvidenceRow[],
  workloads: readonly Workload[],
): readonly EvidenceRow[] => {
  const idle = metIn(rows, workloads)
    .filter(({ kind }) => kind === "idle")
    .map(({ id }) => id);
  return loaded(rows, idle.join(), () =>
    rows.filter(({ workloadId, clockMode }) => !idle.includes(workloadId) && clockMode !== "boost"),
  );
};

const loaded = rowsMemory<readonly EvidenceRow[]>();

/** The loads that the rows were run under: others come and go without changing what the rows say. */
function metIn(rows: readonly EvidenceRow[], workloads: readonly Workload[]): readonly Workload[] {
  const met = loadsIn(rows, null, () => new Set(rows.map(({ workloadId }) => workloadId)));
  return workloads.filter(({ id }) => met.has(id));
}

const loadsIn = rowsMemory<ReadonlySet<string>>();

/** What the chip did on another board, cooler or case. */
export type OtherBuild = Readonly<{
  name: string;
  rows: readonly EvidenceRow[];
  /** Its attempts on automatic voltage that were placed by their readings; they are not among the rows. */
  placed?: readonly PlacedAttempt[];
}>;

const mostTeaching = 3;

/** The builds from which the fit learns: those with most attempts that may speak. */
export const teachingBuilds = (
  others: readonly OtherBuild[],
  workloads: readonly Workload[],
): readonly OtherBuild[] =>
  others
    .map((other) => ({ other, loaded: loadedRows(other.rows, workloads) }))
    .filter(({ loaded }) => loaded.some(({ outcome }) => !saysNothing(outcome)))
    .sort((a, b) => b.loaded.length - a.loaded.length)
    .slice(0, mostTeaching)
    .map(({ other }) => other);

const saysNothing = (outcome: Outcome): boolean => ["running", "nothing"].includes(outcomeClass(outcome));

/** The same, and what failed while the chip idled: nothing easier can be asked of it. */
export const rowsThatMayFail = (
  rows: readonly EvidenceRow[],
  workloads: readonly Workload[],
): readonly EvidenceRow[] => {
  const met = metIn(rows, workloads);
  return mayFail(rows, met.map(({ id, kind }) => `${id} ${kind}`).join(), () => {
    const underLoad = new Set(loadedRows(rows, met));
    const known = new Set(met.map(({ id }) => id));
    return rows.filter(
      (row) =>
        underLoad.has(row) ||
        (row.clockMode !== "boost" && known.has(row.workloadId) && outcomeClass(row.outcome) === "crash"),
    );
  });
};

const mayFail = rowsMemory<readonly EvidenceRow[]>();

/**
 * What else is read of a build's attempts: how far their knobs stood off, whether the errors they counted speak, and how
 * surely those placed by a reading stand.
 */
type AlsoRead = Readonly<{
  shifts?: Shifts | undefined;
  errors?: boolean;
  placings?: Readonly<Record<string, Placing>>;
}>;

/** The records of one build, alike ones as one, by the rules on what counts as what. */
export function limitRecordsOf(
  rows: readonly EvidenceRow[],
  heat: BuildHeat,
  build: number,
  { shifts = {}, errors = false, placings = {} }: AlsoRead = {},
): LimitRecord[] {
  const warmStarts = rows.filter(
    ({ startKind, outcome }) => startKind !== "cold" && outcomeClass(outcome) === "pass",
  );
  const read = rows.flatMap((row) =>
    isColdStartOnly(row, warmStarts)
      ? []
      : (recordOf(row, heat, build, { shift: shifts[row.id] ?? null, placing: placings[row.id] ?? null }) ??
        []),
  );
  const records = errors ? read : read.map((record) => ({ ...record, errors: null }));
  const alike = merged(records, 0.03, 1);
  return alike.length <= 300 ? alike : merged(alike, 0.35, 4);
}

/** A start that failed from cold where a warm one holds blocks the setting, but says nothing of the limit under load. */
const isColdStartOnly = (row: EvidenceRow, warmStarts: readonly EvidenceRow[]): boolean =>
  neverStarted(row.outcome) &&
  row.startKind === "cold" &&
  warmStarts.some(({ voltageMv, clockMhz }) => voltageMv <= row.voltageMv && clockMhz >= row.clockMhz);

function recordOf(
  row: EvidenceRow,
  heat: BuildHeat,
  build: number,
  { shift, placing }: Pick<LimitRecord, "shift" | "placing">,
): LimitRecord | undefined {
  const clockMhz = evidenceClockMhz(row);
  const window = windowOf(row);
  if (clockMhz === null || window === null) return undefined;
  const { voltageMv, workloadId } = row;
  const roomC = row.ambientC ?? heat.roomC;
  const steadyTempC = steadyTempOf(row, clockMhz, roomC, heat);
  const startTempC = row.startTempC ?? roomC + startShare(row) * (steadyTempC - roomC);
  return {
    attemptIds: [row.id],
    voltageMv,
    clockMhz,
    workloadId,
    build,
    steadyTempC,
    warmUpC: Math.max(0, steadyTempC - startTempC),
    failed: window.failed,
    atStart: neverStarted(row.outcome),
    minutesFrom: window.from,
    minutesMore: window.to - window.from,
    shift,
    errors: neverStarted(row.outcome) ? null : clockErrorsOf(row),
    placing,
    count: 1,
  };
}

/** How well a room is known where it was recorded, and where it was not, in °C. */
const roomDeviationC = { recorded: 0.5, expected: 2 };

/**
 * The levelled temperature of an attempt: its own reading and what the law of heat expects of its setting, each as far
 * as it is sure. A run cut short says little of where it would have ended.
 */
function steadyTempOf(row: EvidenceRow, clockMhz: number, roomC: number, { law, riseC }: BuildHeat): number {
  const { voltageMv, workloadId } = row;
  const expectedC = roomC + riseC(clockMhz, voltageMv, workloadId);
  const own = levelledLoad(row, law?.medianRoomC ?? null);
  if (own === null || law === null) return own?.tempC ?? expectedC;
  const room = row.ambientC === null ? roomDeviationC.expected : roomDeviationC.recorded;
  const expectedVariance = law.riseDeviationC(clockMhz, voltageMv, workloadId) ** 2 + room ** 2;
  const share = expectedVariance / (expectedVariance + own.deviationC ** 2);
  return share * own.tempC + (1 - share) * expectedC;
}

/** A start from warm has part of the rise behind it already (common practice). */
const startShare = ({ startKind }: EvidenceRow): number => (startKind === "warm" ? 0.4 : idleShareOfRise);

type Window = Readonly<{ failed: boolean; from: number; to: number }>;

/** In minutes: how long it surely survived, and for a failure until when it may have. Null where it says neither. */
function windowOf(row: EvidenceRow): Window | null {
  const minutes = row.durationS / 60;
  switch (outcomeClass(row.outcome)) {
    case "pass":
    case "stopped":
    case "thermal":
      return minutes > 0 ? { failed: false, from: minutes, to: minutes } : null;
    case "crash":
      return failureWindow(row, minutes);
    default:
      return null;
  }
}

/** A stopwatch is trusted to a quarter either way, and within the first minute not at all. */
function failureWindow(row: EvidenceRow, minutes: number): Window {
  if (neverStarted(row.outcome)) return { failed: true, from: 0, to: 0 };
  if (row.outcome === "wrong-result") return { failed: true, from: 0, to: Math.max(1, minutes) };
  if (row.failedFromS !== null || row.failedToS !== null) {
    const from = (row.failedFromS ?? 0) / 60;
    return {
      failed: true,
      from,
      to: Math.max((row.failedToS ?? row.durationS) / 60, 1.05 * from, from + 0.5),
    };
  }
  return minutes < 1
    ? { failed: true, from: 0, to: 1 }
    : { failed: true, from: minutes / 1.25, to: minutes * 1.25 };
}

/** Records alike within the shares and degrees given become one, so that thousands at one setting stay few. */
function merged(records: readonly LimitRecord[], share: number, degrees: number): LimitRecord[] {
  const bin = (minutes: number): number => Math.round(Math.log(minutes + 0.05) / Math.log1p(share));
  const groups = new Map<string, LimitRecord[]>();
  for (const record of records) {
    const key = [
      record.build,
      record.workloadId,
      record.voltageMv,
      record.clockMhz,
      record.failed,
      record.atStart,
      record.shift,
      record.errors === null ? null : bin(record.errors),
      record.placing === null ? null : record.attemptIds[0],
      Math.round(record.steadyTempC / degrees),
      bin(record.minutesFrom),
      bin(record.minutesMore),
      Math.round(record.warmUpC / (2 * degrees)),
    ].join();
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [record]);
    else group.push(record);
  }
  return [...groups.values()].map(asOne);
}

function asOne(group: readonly LimitRecord[]): LimitRecord {
  const first = group[0]!;
  if (group.length === 1) return first;
  const count = group.reduce((sum, record) => sum + record.count, 0);
  const mean = (of: (record: LimitRecord) => number): number =>
    group.reduce((sum, record) => sum + record.count * of(record), 0) / count;
  return {
    ...first,
    attemptIds: group.flatMap(({ attemptIds }) => attemptIds),
    steadyTempC: mean(({ steadyTempC }) => steadyTempC),
    warmUpC: mean(({ warmUpC }) => warmUpC),
    minutesFrom: mean(({ minutesFrom }) => minutesFrom),
    minutesMore: mean(({ minutesMore }) => minutesMore),
    errors: first.errors === null ? null : mean(({ errors }) => errors ?? 0),
    count,
  };
}
