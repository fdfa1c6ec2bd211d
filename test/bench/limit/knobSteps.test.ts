import { describe, expect, it } from "vitest";
import { type KnobStep, knobStepInWords } from "../../../server/bench/limit/knobSteps.ts";
import { type LimitAnswer, limitAnswerOf } from "../../../server/bench/limit/limitCurve.ts";
import { speakingAsSetNow } from "../../../server/bench/order/asSetNow.ts";
import { knobShiftsOf } from "../../../server/bench/order/knobShifts.ts";
import { orderTermsOf } from "../../../server/bench/order/terms.ts";
import type { KnobValue } from "../../../server/bench/things/asSet.ts";
import type { EvidenceRow } from "../../../server/bench/things/evidenceRow.ts";
import { type KnobDraft, knobFrom } from "../../../server/bench/things/knob.ts";
import { evidenceRow, testChip, testWorkload } from "../../support/evidenceRows.ts";

const timing: KnobDraft = { id: "cl", name: "CL", step: 2, harder: "down", belongs: "setting", usual: 40 };
const line: KnobDraft = {
  id: "line",
  name: "Load-line",
  harder: "none",
  belongs: "setting",
  usual: "level 2",
};

const answered = (rows: readonly EvidenceRow[], ...drafts: readonly KnobDraft[]): LimitAnswer =>
  answeredUnder(null, rows, drafts);

function answeredUnder(
  workloadId: string | null,
  rows: readonly EvidenceRow[],
  drafts: readonly KnobDraft[],
): LimitAnswer {
  const chip = testChip({ knobs: drafts.map(knobFrom) });
  const terms = orderTermsOf(chip);
  const speaking = speakingAsSetNow(rows, terms);
  return limitAnswerOf({
    ...{ chip, rows: speaking, hottestAmbientC: 30, workloads, workloadId },
    knobs: knobShiftsOf(rows, terms, new Set(speaking)),
  });
}
const workloads = [testWorkload("all-core", { severity: 9 }), testWorkload("light", { severity: 1 })];
const knobsOf = (answer: LimitAnswer) => (answer.state === "fitted" ? answer.knobs : null);

/** Passes and crashes 25 MHz apart around a clock, with one knob at a value. */
const around = (limitMhz: number, id: string, value: KnobValue, workloadId = "all-core"): EvidenceRow[] =>
  [-50, -25, 25, 50].map((off) =>
    evidenceRow({
      workloadId,
      ...{ clockMhz: limitMhz + off, outcome: off < 0 ? "pass" : "freeze", durationS: off < 0 ? 1800 : 240 },
      ...{ loadTempC: 70, knobs: { [id]: value } },
    }),
  );

describe("what one step of a knob would buy", () => {
  it("is so much of the difference as one step is of what was tried, from now to the next easier value", () => {
    const rows = [...around(4900, "cl", 40), ...around(4700, "cl", 30)];
    const [cl, ...others] = knobsOf(answered(rows, timing)) ?? [];
    expect(others).toEqual([]);
    expect(cl).toMatchObject({ knobId: "cl", from: 30, to: 32, attempts: 4, verdict: "differs" });
    expect(cl?.gainMhz).toBeGreaterThan(28);
    expect(cl?.gainMhz).toBeLessThan(52);
    expect(cl?.low).toBeLessThan(40);
    expect(cl?.high).toBeGreaterThan(40);
  });

  it("is not told apart from nothing where the limits lie alike, nor from two attempts", () => {
    const alike = [...around(4800, "cl", 40), ...around(4800, "cl", 30)];
    expect(knobsOf(answered(alike, timing))).toMatchObject([{ low: 0, verdict: "within-scatter" }]);
    const few = [...around(4900, "cl", 40).slice(1, 3), ...around(4700, "cl", 30)];
    expect(knobsOf(answered(few, timing))).toMatchObject([{ attempts: 2, verdict: "not-enough" }]);
  });

  it("is told for each value of a knob of which nobody knows the direction, either way", () => {
    const rows = [...around(4700, "line", "level 4"), ...around(4900, "line", "level 2")];
    const [told] = knobsOf(answered(rows, line)) ?? [];
    expect(told).toMatchObject({ from: "level 2", to: "level 4", verdict: "differs" });
    expect(told?.high).toBeLessThan(0);
  });

  it("is told under the load that is asked about, in which the limit may lie further up", () => {
    const rows = [...around(4900, "cl", 40), ...around(4700, "cl", 30), ...around(4900, "cl", 30, "light")];
    const buys = (workloadId: string): number =>
      knobsOf(answeredUnder(workloadId, rows, [timing]))![0]!.gainMhz;
    expect(buys("light") / buys("all-core")).toBeGreaterThan(1.02);
    expect(buys("light") / buys("all-core")).toBeLessThan(1.06);
  });

  it("goes back towards the middle of a window, from either side of it", () => {
    const bias: KnobDraft = { ...timing, id: "bias", name: "Bias", harder: "window", usual: 100 };
    const rowsAt = (value: number) => [...around(4900, "bias", 100), ...around(4700, "bias", value)];
    expect(knobsOf(answered(rowsAt(110), bias))).toMatchObject([{ knobId: "bias", from: 110, to: 108 }]);
    expect(knobsOf(answered(rowsAt(90), bias))).toMatchObject([{ knobId: "bias", from: 90, to: 92 }]);
  });

  it("is nothing where all stood alike", () => {
    expect(knobsOf(answered(around(4700, "cl", 40), timing))).toEqual([]);
  });
});

describe("in words", () => {
  const step: KnobStep = {
    ...{ knobId: "cl", name: "CL", unit: "", from: 30, to: 32, attempts: 4 },
    ...{ gain: 41.26, low: 18.04, high: 61.7, verdict: "differs" },
  };
  it("says what it buys, with its ends, and no more than is known", () => {
    expect(knobStepInWords(step, "MT/s")).toBe("CL, from 30 to 32, buys 41 MT/s (18 to 62).");
    expect(knobStepInWords({ ...step, low: 0, verdict: "within-scatter" }, "MHz")).toBe(
      "CL, from 30 to 32, buys 62 MHz at most, perhaps nothing.",
    );
    expect(knobStepInWords({ ...step, attempts: 1, verdict: "not-enough" }, "MHz")).toBe(
      "CL, from 30 to 32: one attempt with another value, too few to say what it buys.",
    );
    expect(knobStepInWords({ ...step, gain: -4, low: -8, high: 1.5, verdict: "within-scatter" }, "mV")).toBe(
      "CL, from 30 to 32: −4 mV (−8 to 1.5), not told apart from nothing.",
    );
    expect(
      knobStepInWords({ ...step, unit: "V", gain: -40, low: -60, high: -21, verdict: "differs" }, "MHz"),
    ).toBe("CL, from 30 to 32 V, costs 40 MHz (21 to 60).");
  });
});
