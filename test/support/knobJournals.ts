import fc from "fast-check";
import type { OrderedRow } from "../../server/bench/frontier/evidence.ts";
import type { OrderedKnob } from "../../server/bench/order/knobs.ts";
import type { OrderTerms } from "../../server/bench/order/terms.ts";
import { aRow } from "./frontierRows.ts";

/** One knob of each direction that belongs to the setting, and one of the context that may stand anywhere. */
export const knobs: readonly OrderedKnob[] = [
  { id: "fabric", harder: "up", belongs: "setting", usual: 1800 },
  { id: "delay", harder: "down", belongs: "setting", usual: 38 },
  { id: "impedance", harder: "window", belongs: "setting", usual: 40 },
  { id: "load-line", harder: "none", belongs: "setting", usual: "flat" },
  { id: "power limit", harder: "up", belongs: "context", usual: 150 },
];

const auto = fc.constantFrom<unknown>("auto", { auto: 1800 });
const knobsSet = fc.record(
  {
    fabric: fc.oneof({ weight: 4, arbitrary: fc.constantFrom<unknown>(1800, 1867, 1933) }, auto),
    delay: fc.constantFrom(36, 38),
    impedance: fc.constantFrom(34, 40, 48),
    "load-line": fc.constantFrom("flat", "flat", "flat", "steep"),
    "power limit": fc.constantFrom(120, 200),
  },
  { requiredKeys: [] },
) as fc.Arbitrary<NonNullable<OrderedRow["knobs"]>>;

const outcomes = ["pass", "stopped", "freeze", "restart", "driver-reset", "no-start", "too-hot"] as const;

const attempt = fc
  .record({
    clockMhz: fc.constantFrom(4600, 4625, 4650),
    voltageMv: fc.constantFrom(1200, 1212.5, 1225),
    workloadId: fc.constantFrom("heavy", "heavy", "light", "idle"),
    outcome: fc.oneof({ weight: 3, arbitrary: fc.constant("pass" as const) }, fc.constantFrom(...outcomes)),
    durationS: fc.constantFrom(60, 900, 3600),
    ambientC: fc.constantFrom(null, 22),
    loadTempC: fc.constantFrom(null, 60, 88),
    startKind: fc.constantFrom(null, "cold", "warm"),
    knobs: fc.oneof(fc.constant(null), knobsSet, knobsSet),
    firmware: fc.constantFrom("1.2", "1.2", "1.2", "1.3"),
    settingReadBack: fc.constantFrom(null, null, null, "confirmed", "differs", "cannot-tell"),
    freshBoot: fc.constantFrom(null, null, true),
  })
  .map((drawn) => drawn as Partial<OrderedRow>);

/** The record of a build whose knobs were turned, in the order it was written. */
export const knobJournal = fc.array(attempt, { minLength: 5, maxLength: 40, size: "max" }).map((drawn) =>
  drawn.map(
    (differing, i): OrderedRow => ({
      ...aRow(),
      ...differing,
      id: `attempt-${i}`,
      startedAt: new Date(Date.UTC(2031, 4, 4, 8, i)).toISOString(),
    }),
  ),
);

export const knobTerms: fc.Arbitrary<OrderTerms> = fc.record({
  knobs: fc.constant(knobs),
  appliedBy: fc.constantFrom("firmware", "firmware", "software"),
  offset: fc.constant(null),
  startsDraw: fc.boolean(),
  coldBelowC: fc.constant(null),
});
