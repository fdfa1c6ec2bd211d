import { describe, expect, it } from "vitest";
import { passesShowWords, rateShownBy, runsToShow } from "../../../server/bench/frontier/demonstration.ts";
import { mtbfLowerS } from "../../../server/bench/frontier/exposureBound.ts";
import reference from "../../reference/sequentialTest.json" with { type: "json" };
import { sequentialLines, sequentialVerdict } from "../../support/outside/sequentialTest.ts";

describe("a demonstration without a failure", () => {
  it.each([
    [0.95, 59],
    [0.9, 29],
    [0.99, 299],
  ])("of %d at 95 %% takes %d runs (textbook relation, figures from memory)", (rate, runs) => {
    expect(runsToShow(rate, 0.95)).toBe(runs);
    expect(rateShownBy(runs, 0.95)).toBeGreaterThanOrEqual(rate);
    expect(rateShownBy(runs - 1, 0.95)).toBeLessThan(rate);
  });

  it("is told in words with the figures of that relation", () => {
    expect(passesShowWords()).toBe(
      "With nothing else known, one such pass shows with 95 % confidence only that 5 in 100 of them would pass; 59 in a row would show 95 in 100.",
    );
  });
});

/** Source: A. Wald, Sequential Analysis (1947); figures from memory, reckoned anew. */
describe("the sequential test of a mean time between failures", () => {
  const { inputs, expected } = reference.cases.find(({ id }) => id === "exponential-sprt")!;
  const plan = {
    wanted: inputs.theta0!,
    least: inputs.theta1!,
    alpha: inputs.alpha!,
    beta: inputs.beta!,
  };
  it("has Wald's lines", () => {
    const lines = sequentialLines(plan);
    expect(lines.slope).toBeCloseTo(expected.s!, 12);
    expect(lines.acceptAt).toBeCloseTo(expected.h_a!, 12);
    expect(lines.rejectAt).toBeCloseTo(expected.h_r!, 12);
  });
  it("takes it without a failure from the earliest time on, refuses it from the fourth at once, else goes on", () => {
    const earliest = expected.earliest_accept_T!;
    expect(sequentialVerdict(plan, earliest * 1.0001, 0)).toBe("accept");
    expect(sequentialVerdict(plan, earliest * 0.9999, 0)).toBe("go on");
    expect(sequentialVerdict(plan, 0, 4)).toBe("reject");
    expect(sequentialVerdict(plan, 100, 3)).toBe("go on");
  });
  it("takes without a failure, against ever better chips, what the bound of a clean run proves", () => {
    for (const cleanS of [600, 3600, 28_800]) {
      const least = mtbfLowerS(cleanS, 0)!;
      const against = { wanted: 1e7 * least, least, alpha: 1e-9, beta: 0.05 };
      expect(sequentialVerdict(against, cleanS * 1.00001, 0)).toBe("accept");
      expect(sequentialVerdict(against, cleanS * 0.99999, 0)).toBe("go on");
    }
  });
});
