import type { FrontierQuestion } from "../../server/bench/frontier/frontierPoint.ts";
import type { EvidenceRow } from "../../server/bench/things/evidenceRow.ts";

/**
 * The frontier written down a second time, straight from its definition and with no regard for speed: every pass is
 * held against every crash. Nothing of the program's own frontier is used.
 */
const crashOutcomes = [
  "no-start",
  "fell-back",
  "freeze",
  "restart",
  "system-error",
  "app-closed",
  "driver-reset",
  "wrong-result",
];

type Seen = EvidenceRow & { f: number | null };

export function slowFrontier(question: FrontierQuestion) {
  const { chip, requires, hottestAmbientC } = question;
  const seen = question.rows
    .filter((row) => counts(row, question))
    .map((row): Seen => ({ ...row, f: spokenClock(row) }));
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
  const contests = (crash: Seen, v: number, f: number) =>
    (crash.f as number) <= f && (crash.voltageMv === v || (crash.voltageMv > v && !nearLimit(crash)));
  const contested = (v: number, f: number) => crashes.some((crash) => contests(crash, v, f));
  const ruleMet = (v: number, f: number) =>
    requires.every((wanted) => {
      const good = passes.filter(
        (pass) =>
          pass.voltageMv === v &&
          pass.f === f &&
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
  const heldAt = (v: number) => maxOf(clocksAt(v).filter((f) => ruleMet(v, f) && !contested(v, f)));

  const marginAt = (v: number, f: number | null) => {
    const at = passes.filter((pass) => pass.voltageMv === v && pass.f === f);
    const load = (row: Seen) => row.loadTempC ?? row.peakTempC;
    const hottest = maxOf(at.map(load).filter((t) => t !== null));
    if (f === null || hottest === null) return { loadTempC: null, marginC: null, margin: "unknown" };
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
    const margin = marginAt(v, held);
    const trusted = margin.margin === "ok" || margin.margin === "unknown";
    const lowestCrashMhz = minOf(
      crashes.filter((crash) => crash.voltageMv === v).map((crash) => crash.f as number),
    );
    return {
      voltageMv: v,
      highestPassedMhz: maxOf(clocksAt(v)),
      heldMhz: held,
      impliedMhz: maxOf(
        voltages
          .filter((u) => (trusted ? u <= v : u === v))
          .map(heldAt)
          .filter((f) => f !== null),
      ),
      lowestCrashMhz,
      gapMhz: held === null || lowestCrashMhz === null ? null : lowestCrashMhz - held,
      ...margin,
      contested: passes
        .filter((pass) => pass.voltageMv === v && contested(v, pass.f as number))
        .map((pass) => pass.id),
      exposureS: held === null ? null : exposure(v, held, trusted),
    };
  });

  function exposure(v: number, f: number, trusted: boolean): number {
    const above = crashes
      .filter((crash) => crash.voltageMv <= v && (crash.f as number) >= f)
      .map((crash) => crash.f as number);
    const end = Math.min(...above);
    return seen
      .filter((row) => row.f !== null && (row.outcome === "pass" || row.outcome === "stopped"))
      .filter((row) => (trusted ? row.voltageMv <= v : row.voltageMv === v))
      .filter(
        (row) => (row.f as number) >= f && ((row.f as number) < end || (row.f === f && row.voltageMv === v)),
      )
      .reduce((sum, row) => sum + row.durationS, 0);
  }
}

function counts(row: EvidenceRow, { workloads, asked }: FrontierQuestion): boolean {
  const workload = workloads.get(row.workloadId);
  if (!workload || workload.kind === "idle" || row.clockMode === "boost") return false;
  if (asked === null || asked.id === workload.id) return true;
  return asked.severity !== null && workload.severity !== null && workload.severity > asked.severity;
}

function spokenClock(row: EvidenceRow): number | null {
  if (row.throttled === true) return row.effectiveClockMhz;
  if (row.effectiveClockMhz !== null && row.effectiveClockMhz < row.clockMhz * 0.99)
    return row.effectiveClockMhz;
  return row.clockMhz;
}

const maxOf = (values: readonly number[]): number | null =>
  values.length === 0 ? null : Math.max(...values);
const minOf = (values: readonly number[]): number | null =>
  values.length === 0 ? null : Math.min(...values);
