import { describe, expect, it } from "vitest";
import { fitAnswerOf } from "../../../server/bench/best/limitQuestions.ts";
import type { EvidenceRow } from "../../../server/bench/things/evidenceRow.ts";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import { evidenceRow, testChip, testWorkload } from "../../support/evidenceRows.ts";

/** Each odd record gets an honest answer or a reason from all three questions, without NaN, in bounded time. */
function answersTo(rows: readonly EvidenceRow[], chip = testChip()) {
  const context = { chip, hottestAmbientC: 30, rows, workloads: [testWorkload("all-core")], seed: 1 };
  const started = performance.now();
  const answers = {
    limit: fitAnswerOf("limit", context),
    atVoltage: fitAnswerOf("next", { ...context, voltageMv: rows[0]?.voltageMv ?? 1250 }),
    atClock: fitAnswerOf("next", { ...context, clockMhz: rows[0]?.clockMhz ?? 4600 }),
    map: fitAnswerOf("next", context),
    best: fitAnswerOf("best", { ...context, goal: "clock", use: "daily" }),
  };
  expect(performance.now() - started).toBeLessThan(10_000);
  expect(JSON.parse(JSON.stringify(answers))).toEqual(answers);
  expect(JSON.stringify(answers)).not.toMatch(/NaN|undefined|Infinity/);
  return answers;
}

const crash = (differing: Partial<EvidenceRow> = {}): EvidenceRow =>
  evidenceRow({ outcome: "freeze", durationS: 300, ...differing });

describe("odd records", () => {
  it("all passes: at least, no upper end", () => {
    const { limit } = answersTo([4600, 4700, 4800, 4900].map((clockMhz) => evidenceRow({ clockMhz })));
    expect(limit).toMatchObject({ state: "fitted", atLeast: true });
  });

  it("one crash at the answer that hours of passes speak against is doubted; a second one there counts, doubted or not", () => {
    const hours = [4550, 4600, 4600, 4625, 4625, 4625].map((clockMhz) =>
      evidenceRow({ clockMhz, durationS: 3600, loadTempC: 65 }),
    );
    const above = [crash({ clockMhz: 4650, durationS: 500 }), crash({ clockMhz: 4675, durationS: 40 })];
    const bestOf = (odd: number) => {
      const crashes = Array.from({ length: odd }, (_, i) => crash({ clockMhz: 4600, durationS: 100 - i }));
      return answersTo([...hours, ...above, ...crashes]).best.setting;
    };
    const [none, one, two] = [bestOf(0), bestOf(1), bestOf(2)];
    expect(none?.clockMhz).toBeGreaterThanOrEqual(4600);
    expect(one?.clockMhz).toBeGreaterThanOrEqual(4600);
    expect(two?.clockMhz).toBeLessThan(4600);
  });

  it("all crashes: too little, and a proposal further down", () => {
    const { limit, atVoltage, best } = answersTo(
      [4600, 4700, 4800].map((clockMhz) => crash({ clockMhz, durationS: 20 })),
    );
    expect(limit.state).toBe("too-little");
    expect("clockMhz" in atVoltage && atVoltage.clockMhz).toBeLessThan(4600);
    expect(best.setting).toBeNull();
  });

  it("one attempt", () => {
    expect(answersTo([evidenceRow()]).limit.state).toBe("too-little");
  });

  it("no attempt, with and without stock values", () => {
    answersTo([]);
    answersTo([], testChip({ stockClockMhz: null, stockVoltageMv: null }));
  });

  it("5,000 attempts at one setting", () => {
    const random = seededRandom(81);
    const rows = Array.from({ length: 5000 }, () =>
      evidenceRow({
        outcome: random.uniform() < 0.02 ? "freeze" : "pass",
        durationS: 60 * (5 + random.index(60)),
        loadTempC: 70 + random.normal(),
        ambientC: 23 + random.normal(),
      }),
    );
    answersTo(rows);
  });

  it("contradictory twins: a pass and a crash of the very same setting", () => {
    const { limit } = answersTo([
      evidenceRow({ clockMhz: 4900 }),
      crash({ clockMhz: 4900 }),
      evidenceRow({ clockMhz: 4900 }),
      crash({ clockMhz: 4900 }),
    ]);
    expect(limit.state).toBe("fitted");
  });

  it("a stock clock typed ten times too high", () => {
    const memory = testChip({ stockClockMhz: 16_000, stockVoltageMv: 1350 });
    const rows = [1600, 1650, 1700].map((clockMhz) => evidenceRow({ clockMhz, voltageMv: 1350 }));
    const { limit } = answersTo([...rows, crash({ clockMhz: 1800, voltageMv: 1350 })], memory);
    expect(limit).toMatchObject({
      state: "fitted",
      notes: [expect.stringContaining("16000 MHz does not fit")],
    });
    if (limit.state === "fitted") expect(limit.curve[0]!.limitMhz).toBeLessThan(2000);
  });

  it("missing stock values", () => {
    const bare = testChip({ stockClockMhz: null, stockVoltageMv: null, voltageCeilingMv: null });
    const rows = [4600, 4700, 4800].map((clockMhz) => evidenceRow({ clockMhz }));
    const { limit } = answersTo([...rows, crash({ clockMhz: 5000 })], bare);
    expect(limit).toMatchObject({ state: "fitted", notes: [expect.stringContaining("not entered")] });
  });

  it("steps of 1 mV and 1 MHz", () => {
    const fine = testChip({ voltageStepMv: 1, clockStepMhz: 1 });
    answersTo([evidenceRow(), evidenceRow({ clockMhz: 4800 }), crash({ clockMhz: 5000 })], fine);
    answersTo([], fine);
  });

  it("steps of the least size the journal keeps", () => {
    const finest = testChip({ voltageStepMv: 0.001, clockStepMhz: 0.001 });
    answersTo([evidenceRow(), crash({ clockMhz: 5000 })], finest);
  });

  it("attempts far apart in voltage and clock, hot and cold", () => {
    answersTo([
      evidenceRow({ clockMhz: 1, voltageMv: 100 }),
      evidenceRow({ clockMhz: 20_000, voltageMv: 3000, loadTempC: 200 }),
      crash({ clockMhz: 5000, loadTempC: -100 }),
      crash({ clockMhz: 6000, failedFromS: 0, failedToS: 2_592_000 }),
    ]);
  });
});
