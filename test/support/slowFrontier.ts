import type { OrderedRow } from "../../server/bench/frontier/evidence.ts";
import type { FrontierQuestion } from "../../server/bench/frontier/frontierPoint.ts";
import { slowlyInDoubt, slowOrder } from "./slowOrder.ts";

/**
 * The frontier written down a second time, straight from its definition and with no regard for speed: every pass is
 * held against every crash. Nothing of the program's own frontier is used.
 */
const crashOutcomes = [
  "no-start",
  "fell-back",
  "died",
  "artefacts",
  "freeze",
  "restart",
  "system-error",
  "app-closed",
  "driver-reset",
  "wrong-result",
];

type Seen = OrderedRow & { f: number | null };

export function slowFrontier(question: FrontierQuestion) {
  const { chip, requires, hottestAmbientC, terms } = question;
  const doubted = slowlyInDoubt(question.rows, terms?.appliedBy ?? "firmware");
  const seen = question.rows
    .filter((row) => counts(row, question))
    .filter((row) => !doubted.includes(row.id) || crashOutcomes.includes(row.outcome))
    .map((row): Seen => ({ ...row, f: spokenClock(row) }));
  const knobs = slowOrder(
    terms?.knobs ?? [],
    seen.map((row) => ({ ...row, kind: crashOutcomes.includes(row.outcome) ? "crash" : row.outcome })),
  );
  const counted = (terms?.knobs ?? []).filter((knob) => knob.belongs === "setting");
  const passes = seen.filter((row) => row.outcome === "pass" && row.f !== null);
  const crashes = seen.filter((row) => crashOutcomes.includes(row.outcome) && row.f !== null);
  const voltages = [...new Set(seen.map((row) => row.voltageMv))].sort((a, b) => a - b);
  const temp = (row: Seen) => row.peakTempC ?? row.loadTempC;
  const hottestAt = (v: number) =>
    Math.max(
      ...seen.filter((row) => row.voltageMv === v).map((row) => temp(row) ?? Number.NEGATIVE_INFINITY),
    );
  const nearLimit = (row: Seen) =>
    (temp(row) ?? hottestAt(row.voltageMv)) >= chip.tempLimitC - chip.warnMarginC;
  const isOfStart = (crash: Seen) =>
    terms?.startsDraw === true && ["no-start", "fell-back"].includes(crash.outcome);
  const contested = (pass: Seen) =>
    crashes.some(
      (crash) =>
        !isOfStart(crash) &&
        (crash.f as number) <= (pass.f as number) &&
        (crash.voltageMv === pass.voltageMv || (crash.voltageMv > pass.voltageMv && !nearLimit(crash))) &&
        knobs.isAsHard(pass, crash),
    );
  const ruleMet = (at: Seen) =>
    requires.every((wanted) => {
      const good = passes.filter(
        (pass) =>
          pass.voltageMv === at.voltageMv &&
          pass.f === at.f &&
          knobs.isAlike(pass, at) &&
          pass.durationS >= wanted.durationS &&
          (wanted.workloadId === null || wanted.workloadId === pass.workloadId) &&
          (wanted.correctedErrors === null || pass.correctedErrors === 0),
      );
      return (
        good.length > 0 && good.filter((pass) => pass.startKind === "cold").length >= (wanted.coldStarts ?? 0)
      );
    });
  const clocksAt = (v: number) => [
    ...new Set(passes.filter((pass) => pass.voltageMv === v).map((pass) => pass.f as number)),
  ];
  /** The hardest pass that holds at a voltage; of several the one that began last. */
  const heldAt = (v: number): Seen | null =>
    passes
      .filter((pass) => pass.voltageMv === v && ruleMet(pass) && !contested(pass))
      .sort((a, b) => (b.f as number) - (a.f as number) || (a.startedAt < b.startedAt ? 1 : -1))[0] ?? null;

  const marginAt = (held: Seen | null) => {
    const at = passes.filter(
      (pass) =>
        held !== null && pass.voltageMv === held.voltageMv && pass.f === held.f && knobs.isAlike(pass, held),
    );
    const load = (row: Seen) => row.loadTempC ?? row.peakTempC;
    const hottest = maxOf(at.map(load).filter((t) => t !== null));
    if (hottest === null) return { loadTempC: null, marginC: null, margin: "unknown" };
    const rise = maxOf(
      at
        .filter((row) => load(row) !== null && row.ambientC !== null)
        .map((row) => (load(row) as number) - (row.ambientC as number)),
    );
    const marginC = chip.tempLimitC - (rise === null ? hottest : hottestAmbientC + rise);
    return {
      loadTempC: hottest,
      marginC,
      margin: marginC < 0 ? "over" : marginC > chip.warnMarginC ? "ok" : "tight",
    };
  };

  return voltages.map((v) => {
    const held = heldAt(v);
    const margin = marginAt(held);
    const trusted = margin.margin === "ok" || margin.margin === "unknown";
    const lowestCrashMhz = minOf(
      crashes.filter((crash) => crash.voltageMv === v).map((crash) => crash.f as number),
    );
    return {
      voltageMv: v,
      highestPassedMhz: maxOf(clocksAt(v)),
      heldMhz: held?.f ?? null,
      impliedMhz: maxOf(
        voltages
          .filter((u) => (trusted ? u <= v : u === v))
          .map((u) => heldAt(u)?.f ?? null)
          .filter((f) => f !== null),
      ),
      lowestCrashMhz,
      gapMhz: held === null || lowestCrashMhz === null ? null : lowestCrashMhz - (held.f as number),
      ...margin,
      contested: passes.filter((pass) => pass.voltageMv === v && contested(pass)).map((pass) => pass.id),
      knobs: held === null || counted.length === 0 ? null : knobsOf(held),
      exposureS: held === null ? null : exposure(held, trusted),
    };
  });

  function knobsOf(held: Seen) {
    const told = counted.map((knob) => {
      const value = held.knobs?.[knob.id] ?? knob.usual;
      return [knob.id, typeof value === "object" ? value.auto : value];
    });
    return Object.fromEntries(told);
  }

  function exposure(held: Seen, trusted: boolean): number {
    const [v, f] = [held.voltageMv, held.f as number];
    const asHard = (row: Seen) => row.voltageMv <= v && (row.f as number) >= f && knobs.isAsHard(row, held);
    const end = Math.min(...crashes.filter(asHard).map((crash) => crash.f as number));
    const isThere = (row: Seen) => row.f === f && row.voltageMv === v && knobs.isAlike(row, held);
    return seen
      .filter((row) => row.f !== null && (row.outcome === "pass" || row.outcome === "stopped"))
      .filter((row) => asHard(row) && (trusted || row.voltageMv === v))
      .filter((row) => (row.f as number) < end || isThere(row))
      .reduce((sum, row) => sum + row.durationS, 0);
  }
}

function counts(row: OrderedRow, { workloads, asked }: FrontierQuestion): boolean {
  const workload = workloads.get(row.workloadId);
  if (!workload || row.clockMode === "boost") return false;
  if (workload.kind === "idle") return crashOutcomes.includes(row.outcome);
  if (asked === null || asked.id === workload.id) return true;
  return asked.severity !== null && workload.severity !== null && workload.severity > asked.severity;
}

function spokenClock(row: OrderedRow): number | null {
  if (row.throttled === true) return row.effectiveClockMhz;
  if (row.effectiveClockMhz !== null && row.effectiveClockMhz < row.clockMhz * 0.99)
    return row.effectiveClockMhz;
  return row.clockMhz;
}

const maxOf = (values: readonly number[]): number | null =>
  values.length === 0 ? null : Math.max(...values);
const minOf = (values: readonly number[]): number | null =>
  values.length === 0 ? null : Math.min(...values);
