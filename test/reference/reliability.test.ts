import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { mtbfLowerS } from "../../server/bench/frontier/exposureBound.ts";
import { binomialLimits } from "../../server/numerics/binomialLimits.ts";
import { chiSquareQuantile } from "../../server/numerics/distributions.ts";

const read = (file: string) => JSON.parse(readFileSync(new URL(file, import.meta.url), "utf8"));
// biome-ignore lint/suspicious/noExplicitAny: published tables have a shape each
const caseOf = (file: string, id: string): any =>
  read(file).cases.find((one: { id: string }) => one.id === id);

/** The upper bound, which no page tells, by the quantile that the lower one rests on. */
const upperS = (exposureS: number, failures: number, confidence: number): number =>
  (2 * exposureS) / chiSquareQuantile(1 - confidence, 2 * failures)!;
/** The exposure that proves a mean time: the bound grows with it. */
const proving = (mtbfS: number, failures: number, confidence: number): number =>
  mtbfS / mtbfLowerS(1, failures, confidence)!;

/** Source of the mean-time tables: NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.5.1 and 8.3.1.1. */
describe("the bound of the mean time between failures", () => {
  it("gives the handbook's worked example, 800 hours with 2 failures, to six digits (figures seen in the source)", () => {
    const { inputs, expected } = caseOf("mtbf.json", "nist-8451-example");
    const oneSided = (1 + inputs.confidence) / 2;
    expect(mtbfLowerS(inputs.total_time, inputs.failures, oneSided)).toBeCloseTo(expected.lower, 3);
    expect(upperS(inputs.total_time, inputs.failures, oneSided)).toBeCloseTo(expected.upper, 3);
  });

  it("gives the factor table for 1 to 10 failures at four confidences, to its four digits (figures from memory)", () => {
    const { expected } = caseOf("mtbf.json", "factor-table");
    for (const [percent, rows] of Object.entries(expected))
      for (const { failures, lower, upper } of rows as { failures: number; lower: number; upper: number }[]) {
        const oneSided = (1 + Number(percent) / 100) / 2;
        expect(Math.abs(failures * mtbfLowerS(1, failures, oneSided)! - lower)).toBeLessThan(1e-4);
        expect(Math.abs(failures * upperS(1, failures, oneSided) - upper)).toBeLessThan(1e-4);
      }
  });

  it("gives T / -ln(alpha) without a failure, to nine digits (figures seen in the source)", () => {
    const { inputs, expected } = caseOf("mtbf.json", "zero-failure");
    inputs.alpha.forEach((alpha: number, i: number) => {
      expect(mtbfLowerS(1, 0, 1 - alpha)).toBeCloseTo(expected.lower_over_T[i], 9);
    });
  });

  it("gives the test length guide (figures from memory)", () => {
    for (const { failures, ...times } of caseOf("mtbf.json", "test-length-guide").expected)
      for (const [percent, time] of Object.entries(times))
        expect(Math.abs(proving(1, failures, Number(percent) / 100) - (time as number))).toBeLessThan(0.006);
  });

  it("gives the demonstration times for 400 hours at 90 %, to nine digits (figures from memory)", () => {
    const { inputs, expected } = caseOf("sequentialTest.json", "demo-time");
    inputs.allowed.forEach((failures: number, i: number) => {
      expect(proving(inputs.MTBF, failures, inputs.confidence) / expected.T[i]).toBeCloseTo(1, 9);
    });
  });

  it("needs fewer failure-free hours than a fixed-length proof where Wald's sequential test accepts at once (formula: A. Wald, Sequential Analysis, 1947)", () => {
    const { inputs, expected } = caseOf("sequentialTest.json", "exponential-sprt");
    const { theta0, theta1, alpha, beta } = inputs;
    const accept = ((theta0 * theta1) / (theta0 - theta1)) * Math.log((1 - alpha) / beta);
    expect(accept / expected.earliest_accept_T).toBeCloseTo(1, 9);
    const bound = mtbfLowerS(accept, 0, 1 - beta)!;
    expect(bound).toBeGreaterThan(theta1);
    expect(bound).toBeLessThan(theta0);
  });
});

describe("exact binomial limits", () => {
  it("give Conover's 682 of 925 to seven digits (R Core Team, binom.test reference output; figures seen)", () => {
    const { inputs, expected } = caseOf("binomial.json", "conover-mendel");
    const found = binomialLimits(inputs.x, inputs.n, inputs.confidence)!;
    expect(Math.abs(found.lower - expected.lower)).toBeLessThan(5e-8);
    expect(Math.abs(found.upper - expected.upper)).toBeLessThan(5e-8);
  });

  it("give 2 of 5 to nine digits (figures from memory)", () => {
    const { inputs, expected } = caseOf("binomial.json", "two-of-five");
    const found = binomialLimits(inputs.x, inputs.n, inputs.confidence)!;
    expect(found.lower).toBeCloseTo(expected.lower, 8);
    expect(found.upper).toBeCloseTo(expected.upper, 8);
  });

  it("follow the rule of three with no event (J. Hanley and A. Lippman-Hand, JAMA 249:1743, 1983)", () => {
    const { inputs, expected } = caseOf("binomial.json", "rule-of-three");
    inputs.n.forEach((n: number, i: number) => {
      expect(binomialLimits(0, n, 0.9)!.upper).toBeCloseTo(expected.exact_upper[i], 9);
    });
  });

  it("reach 0 and 1 at the ends and are undefined for impossible counts", () => {
    expect(binomialLimits(0, 5)!.lower).toBe(0);
    expect(binomialLimits(5, 5)!.upper).toBe(1);
    expect(binomialLimits(6, 5)).toBeUndefined();
    expect(binomialLimits(0, 0)).toBeUndefined();
  });
});

describe("chi-square", () => {
  it("has twice the rule of three as its 95 % point at 2 degrees of freedom", () => {
    expect(chiSquareQuantile(0.95, 2)! / 2).toBeCloseTo(2.995732, 6);
  });
});
