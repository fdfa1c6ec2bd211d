import type { FrontierQuestion } from "../../server/bench/frontier/frontierPoint.ts";
import type { EvidenceRow } from "../../server/bench/things/evidenceRow.ts";
import { outcomes } from "../../server/bench/things/outcome.ts";
import { standardRule } from "../../server/bench/things/rule.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { evidenceRow, testWorkload } from "./evidenceRows.ts";

export const loads = {
  heavy: testWorkload("heavy", { severity: 10 }),
  light: testWorkload("light", { kind: "everyday", severity: 1 }),
  idle: testWorkload("idle", { kind: "idle" }),
};

/** A pass of a quarter of an hour at 4600 MHz and 1.200 V unless said otherwise. */
export const aRow = (more: Partial<EvidenceRow> = {}): EvidenceRow =>
  evidenceRow({
    workloadId: "heavy",
    voltageMv: 1200,
    startedAt: "2031-05-04T10:00:00.000Z",
    durationS: 900,
    plannedS: 900,
    ambientC: null,
    ...more,
  });

/** The usual question: a limit of 95 °C, a warning margin of 10, a room of 30 °C at the hottest, any load for 15 minutes. */
export const asking = (
  rows: readonly EvidenceRow[],
  more: Partial<FrontierQuestion> = {},
): FrontierQuestion => ({
  rows,
  chip: { tempLimitC: 95, warnMarginC: 10, clockUnit: "MHz" },
  hottestAmbientC: 30,
  requires: standardRule.requires,
  workloads: new Map(Object.values(loads).map((workload) => [workload.id, workload])),
  asked: null,
  ...more,
});

/** A bench's record drawn at random, with every kind of outcome and gap, close enough together to contest itself. */
export function randomRows(seed: number, count: number): EvidenceRow[] {
  const random = seededRandom(seed);
  const pick = <Item>(items: readonly Item[]): Item =>
    items[Math.floor(random.uniform() * items.length)] as Item;
  const chance = (p: number): boolean => random.uniform() < p;
  return Array.from({ length: count }, (_, i) => {
    const clockMhz = 4500 + 25 * Math.floor(random.uniform() * 8);
    const hot = 70 + random.uniform() * 30;
    return aRow({
      id: `drawn-${i}`,
      clockMhz,
      voltageMv: 1150 + 12.5 * Math.floor(random.uniform() * 5),
      workloadId: pick(["heavy", "heavy", "light", "idle", "unknown"]),
      outcome: chance(0.5) ? "pass" : pick(outcomes.filter((outcome) => outcome !== "running")),
      durationS: pick([0, 60, 300, 899, 900, 1200, 3600]),
      ambientC: chance(0.6) ? 20 + random.uniform() * 8 : null,
      loadTempC: chance(0.6) ? hot : null,
      peakTempC: chance(0.4) ? hot + 2 : null,
      effectiveClockMhz: chance(0.15) ? clockMhz - pick([10, 100]) : null,
      throttled: chance(0.1) ? true : null,
      correctedErrors: chance(0.3) ? pick([0, 3]) : null,
      startKind: pick([null, "cold", "warm"]),
      clockMode: chance(0.05) ? "boost" : null,
      traced: chance(0.2),
    });
  });
}
