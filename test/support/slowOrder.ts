import type { OrderedRow } from "../../server/bench/frontier/evidence.ts";
import type { OrderedKnob } from "../../server/bench/order/knobs.ts";

/**
 * The order of knobs and firmware written down a second time, pair by pair and with no regard for speed. Nothing of the
 * program's own order is used.
 */
type Placed = OrderedRow & { f: number | null };

export function slowOrder(knobs: readonly OrderedKnob[], seen: readonly (Placed & { kind: string })[]) {
  const counted = knobs.filter((knob) => knob.belongs === "setting");
  const of = (row: Placed, knob: OrderedKnob) => {
    const value = row.knobs?.[knob.id] ?? knob.usual;
    return typeof value === "object" ? value.auto : value;
  };
  const isEqual = (a: Placed, b: Placed, knob: OrderedKnob): boolean => {
    const [x, y] = [of(a, knob), of(b, knob)];
    if (x === "auto" && y === "auto") return a.f === b.f && (a.firmware ?? null) === (b.firmware ?? null);
    return x === y;
  };
  const isKnobAsHard = (a: Placed, b: Placed, knob: OrderedKnob): boolean => {
    if (isEqual(a, b, knob)) return true;
    const [x, y, usual] = [of(a, knob), of(b, knob), knob.usual];
    if (typeof x !== "number" || typeof y !== "number") return false;
    if (knob.harder === "up") return x > y;
    if (knob.harder === "down") return x < y;
    if (knob.harder === "window" && typeof usual === "number") {
      if (y >= usual && x >= y) return true;
      return y <= usual && x <= y;
    }
    return false;
  };

  const firmwares = [...new Set(seen.map((row) => row.firmware ?? null))];
  /** Repeated with the same end under the same load at the same setting. */
  const isTied = (one: string | null, other: string | null): boolean =>
    seen.some(
      (a) =>
        (a.firmware ?? null) === one &&
        a.f !== null &&
        (a.kind === "pass" || a.kind === "crash") &&
        seen.some(
          (b) =>
            (b.firmware ?? null) === other &&
            b.kind === a.kind &&
            b.f === a.f &&
            b.voltageMv === a.voltageMv &&
            b.workloadId === a.workloadId &&
            counted.every((knob) => isEqual(a, b, knob)),
        ),
    );
  const together = (start: string | null): Set<string | null> => {
    const reached = new Set([start]);
    for (let before = 0; before < reached.size; ) {
      before = reached.size;
      for (const one of [...reached])
        for (const other of firmwares) if (isTied(one, other)) reached.add(other);
    }
    return reached;
  };
  const states = new Map(firmwares.map((firmware) => [firmware, together(firmware)]));
  const inOneState = (a: Placed, b: Placed): boolean =>
    (a.firmware ?? null) === (b.firmware ?? null) ||
    states.get(a.firmware ?? null)?.has(b.firmware ?? null) === true;

  return {
    isAsHard: (a: Placed, b: Placed): boolean =>
      inOneState(a, b) && counted.every((knob) => isKnobAsHard(a, b, knob)),
    isAlike: (a: Placed, b: Placed): boolean =>
      inOneState(a, b) && counted.every((knob) => isEqual(a, b, knob)),
  };
}

const drops = [
  "driver-reset",
  "restart",
  "freeze",
  "died",
  "power-cut",
  "supply-tripped",
  "setting-lost",
  "no-start",
  "fell-back",
];

/** Looks back from each attempt for what happened last: a reset, or a word that the setting stands. */
export function slowlyInDoubt(rows: readonly OrderedRow[], appliedBy: "firmware" | "software"): string[] {
  return rows
    .filter((row) => {
      if (row.settingReadBack === "differs") return true;
      if (appliedBy === "firmware") return false;
      if (row.settingReadBack === "confirmed") return false;
      if (row.freshBoot === true) return true;
      const before = rows.filter((other) => other.startedAt < row.startedAt);
      const last = [...before]
        .sort((a, b) => (a.startedAt < b.startedAt ? 1 : -1))
        .find(
          (other) =>
            drops.includes(other.outcome) ||
            other.freshBoot === true ||
            ["confirmed", "differs"].includes(other.settingReadBack ?? ""),
        );
      if (last === undefined) return false;
      if (drops.includes(last.outcome)) return true;
      return last.settingReadBack !== "confirmed";
    })
    .map((row) => row.id);
}
