import { expect, it } from "vitest";
import { barring, contesting, failuresOf } from "../../../server/bench/frontier/standingFailures.ts";
import type { EvidenceRow } from "../../../server/bench/things/evidenceRow.ts";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import { evidenceRow, testChip, testWorkload } from "../../support/evidenceRows.ts";

const loads = [testWorkload("all-core"), { ...testWorkload("light"), id: "light" }];

/** Settings, lasting and order at random, so close that many are alike. */
function drawnRows(seed: number): EvidenceRow[] {
  const random = seededRandom(seed);
  return Array.from({ length: 40 }, (_, at) =>
    evidenceRow({
      id: `run ${at}`,
      clockMhz: 4800 + 25 * random.index(4),
      voltageMv: 1200 + 25 * random.index(3),
      durationS: 300 * (1 + random.index(4)),
      outcome: random.uniform() < 0.5 ? "pass" : "freeze",
      workloadId: loads[random.index(2)]?.id ?? "",
      startedAt: new Date(Date.UTC(2031, 4, 4, random.index(12))).toISOString(),
    }),
  );
}

it("a failure is outlived where any pass as hard came later and lasted longer, under no lighter load", () => {
  let outlivedOnes = 0;
  for (let seed = 1; seed <= 200; seed += 1) {
    const rows = drawnRows(seed);
    const question = {
      chip: testChip(),
      workloads: [loads[0]!],
      workloadId: null,
      doubted: new Set<string>(),
    };
    for (const { row, outlived } of failuresOf({ ...question, rows })) {
      const slowly = rows.some(
        (later) =>
          later.outcome === "pass" &&
          later.workloadId === row.workloadId &&
          later.clockMhz >= row.clockMhz &&
          later.voltageMv <= row.voltageMv &&
          later.durationS > row.durationS &&
          later.startedAt > row.startedAt,
      );
      expect(outlived, `${seed} ${row.id}`).toBe(slowly);
      outlivedOnes += Number(outlived);
    }
  }
  expect(outlivedOnes).toBeGreaterThan(500);
});

it("a setting is barred by a failure as easy or easier that stands, and by none that was outlived or is harder", () => {
  const at = (clockMhz: number, more: Partial<EvidenceRow>) =>
    evidenceRow({ clockMhz, voltageMv: 1200, durationS: 300, outcome: "freeze", ...more });
  const failures = failuresOf({
    rows: [
      at(4700, { id: "outlived" }),
      at(4725, { id: "later", outcome: "pass", durationS: 3600 }),
      at(4900, { id: "stands" }),
    ],
    ...{ chip: testChip(), workloads: [loads[0]!], workloadId: null, doubted: new Set<string>() },
  });
  const by = (clockMhz: number) => {
    const setting = { clockMhz, voltageMv: 1200 };
    return [barring(failures, setting)?.row.id, contesting(failures, setting)?.row.id];
  };
  expect([by(4675), by(4700), by(4900)]).toEqual([
    [undefined, undefined],
    [undefined, "outlived"],
    ["stands", "outlived"],
  ]);
});
