import { describe, expect, it } from "vitest";
import {
  type FittedLimit,
  type LimitQuestion,
  limitAnswerOf,
  voltageForInWords,
} from "../../../server/bench/limit/limitCurve.ts";
import { limitFitOf } from "../../../server/bench/limit/limitFit.ts";
import { clocksAtHazard, limitDrawsOf } from "../../../server/bench/limit/limitReach.ts";
import type { EvidenceRow } from "../../../server/bench/things/evidenceRow.ts";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import { evidenceRow, testChip, testWorkload } from "../../support/evidenceRows.ts";
import { ranOn, simulatedChip, trueClockAt } from "../../support/simulatedChip.ts";

const context = { chip: testChip(), hottestAmbientC: 30, workloads: [testWorkload("all-core")], seed: 1 };
const fitted = (rows: readonly EvidenceRow[], differing: Partial<LimitQuestion> = {}): FittedLimit => {
  const answer = limitAnswerOf({ ...context, rows, ...differing });
  if (answer.state !== "fitted") throw new Error(answer.because);
  return answer;
};

const hazard = -Math.log(0.9) / 60;
const random = seededRandom(71);
const chip = simulatedChip("mixed", random);
const rows = Array.from({ length: 24 }, (_, i) => {
  const voltageMv = [1150, 1250, 1350][i % 3]!;
  const clockMhz = 25 * Math.round((trueClockAt(chip, voltageMv, hazard) + 50 * random.normal()) / 25);
  return ranOn(chip, { clockMhz, voltageMv, minutes: 40 }, random).row;
});

describe("limitAnswerOf", () => {
  it("draws the curve every 12.5 mV from the lowest voltage tried to the ceiling, low under mid under high", () => {
    const { curve } = fitted(rows);
    expect(curve[0]!.voltageMv).toBe(1150);
    expect(curve[1]!.voltageMv).toBe(1162.5);
    expect(curve.at(-1)!.voltageMv).toBe(1450);
    for (const { lowMhz, limitMhz, highMhz } of curve) {
      expect(lowMhz).toBeLessThan(limitMhz!);
      expect(limitMhz!).toBeLessThan(highMhz!);
    }
  });

  it("leaves a twentieth of what is believed under its band and a twentieth over it", () => {
    const fit = limitFitOf({ ...context, rows })!;
    const clocks = clocksAtHazard(limitDrawsOf(fit, fit.draws, fit.heaviestId), 1250, hazard);
    const share = (holds: (mhz: number) => boolean): number =>
      clocks.reduce((sum, mhz, k) => (holds(mhz) ? sum + fit.draws.weights[k]! : sum), 0);
    const { lowMhz, highMhz } = fitted(rows).curve.find(({ voltageMv }) => voltageMv === 1250)!;
    for (const outside of [share((mhz) => mhz < lowMhz), share((mhz) => mhz > highMhz!)]) {
      expect(outside).toBeGreaterThan(0.035);
      expect(outside).toBeLessThan(0.065);
    }
  });

  it("lies within 60 MHz of the truth at the voltages tried, with a slope of the right size", () => {
    const { curve, slopeMhzPer10Mv } = fitted(rows);
    for (const voltageMv of [1150, 1250, 1350]) {
      const { limitMhz } = curve.find((point) => point.voltageMv === voltageMv)!;
      expect(Math.abs(limitMhz! - trueClockAt(chip, voltageMv, hazard))).toBeLessThan(60);
    }
    const trueSlope = (trueClockAt(chip, 1255, hazard) - trueClockAt(chip, 1245, hazard)) / 1;
    expect(Math.abs(slopeMhzPer10Mv! - trueSlope)).toBeLessThan(6);
  });

  it("says the voltage for a clock, and leaves an end open that lies beyond the ceiling", () => {
    const { voltageFor } = fitted(rows, { targetMhz: Math.round(trueClockAt(chip, 1250, hazard)) });
    expect(Math.abs(voltageFor!.mv! - 1250)).toBeLessThan(25);
    expect(voltageFor!.lowMv!).toBeLessThan(voltageFor!.mv!);
    expect(voltageFor!.highMv!).toBeGreaterThan(voltageFor!.mv!);
    expect(fitted(rows, { targetMhz: 9000 }).voltageFor).toMatchObject({ mv: null, highMv: null });
  });

  it("says 'at least' and gives no upper end where nothing has crashed", () => {
    const passes = [4600, 4700, 4800].map((clockMhz) => evidenceRow({ clockMhz }));
    const { curve, atLeast, sentence } = fitted(passes);
    expect(atLeast).toBe(true);
    expect(curve.every(({ limitMhz, highMhz }) => limitMhz === null && highMhz === null)).toBe(true);
    expect(sentence).toContain("at least this high");
  });

  it("says for which room it stands, in whole degrees, and where its temperatures come from", () => {
    const because = (loadTempC: number | null): string =>
      fitted(
        [4600, 4700, 4900].map((clockMhz, i) =>
          evidenceRow({
            clockMhz,
            ambientC: 22.6,
            ...(i < 2 ? { loadTempC } : { outcome: "freeze", durationS: 60 }),
          }),
        ),
      ).temperature.because;
    expect(because(null)).toBe(
      "At the temperature expected in a room of 23 °C; no load temperature was recorded, so a usual rise of 45 °C is assumed.",
    );
    expect(because(70)).toBe(
      "At the temperature expected in a room of 23 °C; load temperatures measured in 2 attempts, expected by the law of heat in 1.",
    );
  });

  it("says too little, and what is needed, for no attempt, one, two, or crashes alone", () => {
    const crash = evidenceRow({ outcome: "freeze", durationS: 60 });
    for (const few of [[], [evidenceRow()], [evidenceRow(), crash], [crash, crash, crash, crash]])
      expect(limitAnswerOf({ ...context, rows: few })).toMatchObject({
        state: "too-little",
        because: expect.any(String),
        needs: expect.any(String),
      });
  });

  it("says that there is no attempt only where there is none, and of an offset that it is no clock", () => {
    const told = (differing: Partial<LimitQuestion>) => limitAnswerOf({ ...context, rows: [], ...differing });
    expect(told({})).toMatchObject({ because: "There is no attempt yet." });
    expect(told({ isTried: true })).toMatchObject({
      state: "too-little",
      because: "No attempt so far says anything about the limit.",
    });
    const disturbed = [evidenceRow({ outcome: "disturbed" })];
    expect(told({ rows: disturbed })).toMatchObject({
      because: "No attempt so far says anything about the limit.",
    });
    expect(told({ chip: { ...context.chip, axis: "offset" }, isTried: true })).toEqual({
      state: "too-little",
      because: "This chip is set by an offset, so its limit is an offset too, not a clock at a voltage.",
      needs: "Ask for the best setting or the frontier: both tell it as an offset.",
    });
  });

  it("says how many attempts are still wanting", () => {
    const crash = evidenceRow({ outcome: "freeze", durationS: 60 });
    const lacking = (few: readonly EvidenceRow[]) => limitAnswerOf({ ...context, rows: few });
    expect(lacking([evidenceRow()])).toMatchObject({
      because: "Only one attempt so far says something about the limit.",
      needs: "Record 2 attempts more, some of them further up.",
    });
    expect(lacking([evidenceRow(), crash])).toMatchObject({
      because: "Only 2 attempts so far say something about the limit.",
      needs: "Record one attempt more, further up.",
    });
  });

  it("says that counted errors speak too, and is silent where none was counted", () => {
    const counting = rows.map((row, i) => ({ ...row, correctedErrors: i < 5 ? 3 : null }));
    const { errors, sentence } = fitted(counting);
    expect(errors).toEqual({ counted: 15, attempts: 5 });
    expect(sentence).toContain("rise with the clock: 15 in 5 attempts.");
    const silent = fitted(rows.map((row) => ({ ...row, correctedErrors: 0 })));
    expect([silent.errors, silent.sentence]).toEqual([null, fitted(rows).sentence]);
  });

  it("says what temperatures it stands on: those read, or that none was", () => {
    const unread = rows.map((row) => ({ ...row, loadTempC: null }));
    const told = (from: readonly EvidenceRow[]) => fitted(from).temperature;
    expect(told(unread)).toMatchObject({
      measured: 0,
      because: expect.stringContaining("no load temperature was recorded"),
    });
    const read = rows.filter(({ loadTempC }) => loadTempC !== null).length;
    expect(told(rows)).toMatchObject({
      measured: read,
      expected: rows.length - read,
      because: expect.stringContaining(`load temperatures measured in ${read} attempts`),
    });
  });

  it("gives no slope from one voltage", () => {
    const one = [
      evidenceRow({ clockMhz: 5000 }),
      evidenceRow({ clockMhz: 5050 }),
      evidenceRow({ clockMhz: 5200, outcome: "freeze", durationS: 100 }),
    ];
    expect(fitted(one).slopeMhzPer10Mv).toBeNull();
  });

  it("names a crash far under what passed as doubtful, and what would settle it", () => {
    const stray = evidenceRow({ clockMhz: 4700, outcome: "freeze", durationS: 400, loadTempC: 70 });
    const { doubtful, strayPerHour } = fitted([...rows, stray]);
    const clean = fitted(rows);
    expect(strayPerHour.mid).toBeGreaterThan(clean.strayPerHour.mid);
    const twin = evidenceRow({ clockMhz: 5900, voltageMv: 1150, durationS: 3600, loadTempC: 80 });
    const [found] = fitted([...rows, twin]).doubtful;
    expect(found).toMatchObject({
      attemptId: twin.id,
      settledBy: expect.stringContaining("5900 MHz at 1.150 V"),
    });
    expect(found!.chanceWrong).toBeGreaterThan(0.5);
    expect(doubtful.length).toBeLessThan(3);
  });

  it("names a doubtful attempt on automatic voltage as it was set, not by where its reading places it", () => {
    const row = evidenceRow({ clockMhz: 5900, voltageMv: 1150, durationS: 3600, loadTempC: 80 });
    const placed = [{ row, readDeviationMv: 4, droopDeviationMv: 4, droop: "all-core" }];
    const [found] = fitted(rows, { placed }).doubtful;
    expect(found).toMatchObject({
      attemptId: row.id,
      because: expect.stringContaining("A pass of 5900 MHz on automatic voltage"),
    });
  });

  it("finds how much further up a lighter workload goes", () => {
    const workloads = [testWorkload("all-core", { severity: 5 }), testWorkload("light", { severity: 1 })];
    const light = rows.map((row) => ({
      ...row,
      id: `${row.id}-light`,
      workloadId: "light",
      clockMhz: row.clockMhz + 100,
    }));
    const { offsets, workloadId } = fitted([...rows, ...light], { workloads });
    expect(workloadId).toBe("all-core");
    expect(offsets).toHaveLength(1);
    expect(offsets[0]!.low).toBeLessThan(100);
    expect(offsets[0]!.high).toBeGreaterThan(60);
    expect(Math.abs(offsets[0]!.mhz - 100)).toBeLessThan(40);
  });

  it("starts from another build of the chip, says so, and narrows the band with it", () => {
    const few = rows.slice(0, 5);
    const alone = fitted(few);
    const taught = fitted(few, { otherBuilds: [{ name: "Wren", rows }] });
    const widthAt = ({ curve }: FittedLimit): number => curve.at(-1)!.highMhz! - curve.at(-1)!.lowMhz;
    expect(taught.taughtBy).toEqual(["Wren"]);
    const disturbed = rows.map((row) => ({ ...row, outcome: "disturbed" as const }));
    const nothing = [
      { name: "Crake", rows: disturbed },
      { name: "Wren", rows },
    ];
    expect(fitted(few, { otherBuilds: nothing }).taughtBy).toEqual(["Wren"]);
    expect(taught.sentence).toContain("Wren");
    expect(widthAt(taught)).toBeLessThan(widthAt(alone));
  });
});

describe("voltageForInWords", () => {
  const words = (mv: number | null, lowMv: number | null, highMv: number | null) =>
    voltageForInWords({ clockMhz: 4700, mv, lowMv, highMv }, "MHz");
  it("says the interval where both ends are known, and which end is not", () => {
    expect(words(1201.4, 1187.6, 1220)).toBe(
      "4700 MHz holds in nine of ten one-hour runs from 1.201 V on; nine times in ten that lies between 1.188 V and 1.220 V.",
    );
    expect(words(1430, 1400, null)).toContain("it may take more than may be tried");
    expect(words(null, 1440, null)).toContain("1.440 V at the very least");
  });
  it("says enough, not least, where nothing has crashed, and that nothing is known where nothing is", () => {
    expect(words(null, null, 1200)).toContain("1.200 V is enough for 4700 MHz; nothing has crashed yet");
    expect(words(null, null, null)).toContain("is not known");
  });
});
