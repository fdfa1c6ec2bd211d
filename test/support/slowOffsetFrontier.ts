import type { OrderedRow } from "../../server/bench/frontier/evidence.ts";
import type { FrontierQuestion } from "../../server/bench/frontier/frontierPoint.ts";
import type { OffsetMeaning } from "../../server/bench/order/partsOfRun.ts";
import { slowlyInDoubt, slowOrder } from "./slowOrder.ts";

/**
 * The frontier of an offset chip written down a second time: every pass of a part held against every crash of it, and the
 * list against every run of all. Nothing of the program's own frontier or order is used.
 */
const crashOutcomes = ["no-start", "fell-back", "freeze", "restart", "driver-reset", "wrong-result"];
const elsewhere = ["single-core", "idle", "transition", "memory", "graphics"];

export function slowOffsetFrontier(question: FrontierQuestion, { harder, sharedSupply }: OffsetMeaning) {
  const { chip, requires, rows, workloads, asked, terms } = question;
  const isCrash = (row: OrderedRow) => crashOutcomes.includes(row.outcome);
  const doubted = slowlyInDoubt(rows, terms?.appliedBy ?? "firmware");
  const parts = [
    ...new Set(
      rows.flatMap(({ part, crashPart, offsets }) => [part, crashPart, ...Object.keys(offsets ?? {})]),
    ),
  ]
    .filter((part) => part != null)
    .sort();
  const seen = rows.filter((row) => {
    const load = workloads.get(row.workloadId);
    if (load === undefined || (doubted.includes(row.id) && !isCrash(row))) return false;
    if (load.kind === "idle") return isCrash(row);
    if (asked === null) return true;
    const isHeavier = load.severity !== null && asked.severity !== null && load.severity > asked.severity;
    if (load.id !== asked.id && !isHeavier) return false;
    return isCrash(row) || load.kind !== "all-core" || !elsewhere.includes(asked.kind);
  });
  const sign = harder === "up" ? 1 : -1;
  const hardOf = (row: OrderedRow, part: string): number => {
    if (row.offsets != null && part in row.offsets) return sign * row.offsets[part]!;
    return row.part == null || row.part === part ? sign * (row.offset ?? 0) : 0;
  };
  const says = (row: OrderedRow, part: string): boolean => {
    if (isCrash(row)) return (row.crashPart ?? row.part) === part;
    const awake = row.part == null ? parts : [row.part];
    if (!awake.includes(part)) return false;
    return !sharedSupply || awake.every((other) => hardOf(row, other) >= hardOf(row, part));
  };
  const said = parts.flatMap((part) =>
    seen
      .filter((row) => says(row, part))
      .map((row) => ({
        ...row,
        of: part,
        h: hardOf(row, part),
        f: hardOf(row, part),
        voltageMv: 0,
        workloadId: `${row.workloadId} ${part}`,
        kind: isCrash(row) ? "crash" : row.outcome,
      })),
  );
  const knobs = slowOrder(terms?.knobs ?? [], said);
  type Said = (typeof said)[number];
  const temp = (row: OrderedRow) => row.peakTempC ?? row.loadTempC;

  const readOf = (part: string) => {
    const own = said.filter(({ of }) => of === part);
    const hottestAt = (h: number) =>
      Math.max(...own.filter((row) => row.h === h).map((row) => temp(row) ?? Number.NEGATIVE_INFINITY));
    const isExcused = (crash: Said) =>
      harder === "down" && (temp(crash) ?? hottestAt(crash.h)) >= chip.tempLimitC - chip.warnMarginC;
    const isOfStart = (crash: Said) =>
      terms?.startsDraw === true && ["no-start", "fell-back"].includes(crash.outcome);
    const passes = own.filter((row) => row.outcome === "pass");
    const crashes = own.filter(isCrash);
    const contested = (pass: Said) =>
      crashes.some(
        (crash) =>
          !isOfStart(crash) &&
          crash.h <= pass.h &&
          (crash.h === pass.h || !isExcused(crash)) &&
          knobs.isAsHard(pass, crash),
      );
    const meets = (at: Said) =>
      requires.every((wanted) =>
        passes.some(
          (pass) => pass.h === at.h && knobs.isAlike(pass, at) && pass.durationS >= wanted.durationS,
        ),
      );
    const held =
      passes
        .filter((pass) => meets(pass) && !contested(pass))
        .sort((a, b) => b.h - a.h || (a.startedAt < b.startedAt ? 1 : -1))[0] ?? null;
    const end = Math.min(
      ...crashes
        .filter((row) => held !== null && row.h >= held.h && knobs.isAsHard(row, held))
        .map(({ h }) => h),
    );
    const exposureS = own
      .filter((row) => row.outcome === "pass" || row.outcome === "stopped")
      .filter((row) => held !== null && row.h >= held.h && knobs.isAsHard(row, held))
      .filter((row) => row.h < end || (held !== null && row.h === held.h && knobs.isAlike(row, held)))
      .reduce((sum, { durationS }) => sum + durationS, 0);
    const row = {
      part,
      hardestPassed: passes.length === 0 ? null : plain(sign * Math.max(...passes.map(({ h }) => h))),
      heldOffset: held === null ? null : plain(sign * held.h),
      easiestCrash: crashes.length === 0 ? null : plain(sign * Math.min(...crashes.map(({ h }) => h))),
      contested: own.filter((one) => one.outcome === "pass" && contested(one)).map(({ id }) => id),
      exposureS: held === null ? null : exposureS,
    };
    return { row, held };
  };
  const read = parts.map(readOf);
  return { rows: read.map(({ row }) => row), proved: provedTogether() };

  function provedTogether(): boolean {
    const helds = read.flatMap(({ held }) => held ?? []);
    if (helds.length < read.length) return false;
    const all = seen.filter((row) => row.part == null);
    const asHard = (row: OrderedRow, other: OrderedRow) =>
      parts.every((part) => hardOf(row, part) >= hardOf(other, part)) && compares(row, other);
    const overList = (row: OrderedRow) =>
      helds.every((held) => hardOf(row, held.of) >= held.h && compares(row, held));
    const underList = (row: OrderedRow) =>
      helds.every((held) => hardOf(row, held.of) <= held.h) && helds.some((held) => compares(held, row));
    if (all.some((row) => isCrash(row) && underList(row))) return false;
    const passes = all.filter(
      (row) =>
        row.outcome === "pass" && overList(row) && !all.some((crash) => isCrash(crash) && asHard(row, crash)),
    );
    return requires.every((wanted) => passes.some(({ durationS }) => durationS >= wanted.durationS));
  }

  function compares(row: OrderedRow, other: OrderedRow): boolean {
    const at = (one: OrderedRow) => ({ ...one, f: parts.length > 0 ? hardOf(one, parts[0]!) : 0 });
    return knobs.isAsHard(at(row), at(other));
  }
}

/** Never minus zero. */
const plain = (value: number): number => value + 0;
