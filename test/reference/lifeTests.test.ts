import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { binomialLimits } from "../../server/numerics/binomialLimits.ts";
import { normalCdf } from "../../server/numerics/distributions.ts";
import { modeOf } from "../../server/numerics/mode.ts";
import { logScores } from "../promises/statistics.ts";
import { densityOf } from "../support/densities.ts";

const casesOf = (file: string) => JSON.parse(readFileSync(new URL(file, import.meta.url), "utf8")).cases;

const noPrior = 1e-12;
const logNormal = (z: number, logSigma: number): number =>
  -(z * z) / 2 - logSigma - Math.log(2 * Math.PI) / 2;

/** The climb to a mode, on life tests as the limit's record is one: times to failure, and runs that ended without. */
describe("modeOf on published life tests", () => {
  /** NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1.3 (figures seen in the source; more digits recomputed). */
  it("finds the Weibull fit of ten failures and ten runs that outlasted the test, to six digits", () => {
    const { inputs, expected } = casesOf("lifeTests.json")[0];
    const failures = inputs.failures as number[];
    const density = densityOf(
      2,
      ([logEta, logBeta]) => {
        const beta = Math.exp(logBeta!);
        const spent = (time: number): number => Math.exp(beta * (Math.log(time / 500) - logEta!));
        const failed = failures.reduce(
          (sum, time) =>
            sum +
            logBeta! -
            Math.log(500) -
            logEta! +
            (beta - 1) * (Math.log(time / 500) - logEta!) -
            spent(time),
          0,
        );
        return failed - inputs.n_censored * spent(inputs.censored_at);
      },
      noPrior,
    );
    const { at, value } = modeOf(density, [0, 0]);
    const { eta, beta, neg_loglik } = expected.more_digits;
    expect((500 * Math.exp(at[0]!)) / eta).toBeCloseTo(1, 6);
    expect(Math.exp(at[1]!) / beta).toBeCloseTo(1, 6);
    expect(-value).toBeCloseTo(neg_loglik, 6);
    expect(-value).toBeCloseTo(expected.neg_loglik, 3);
  });

  type Cell = Readonly<{ temp_C: number; failures: number[]; n: number }>;

  /** One cell's log likelihood: lognormal lives, those still running at the end of the test censored there. */
  const cellTold = ({ failures, n }: Cell, endedAt: number, mu: number, logSigma: number): number => {
    const z = (time: number): number => (Math.log(time) - mu) / Math.exp(logSigma);
    const failed = failures.reduce((sum, time) => sum + logNormal(z(time), logSigma) - Math.log(time), 0);
    return failed + (n - failures.length) * Math.log(1 - normalCdf(z(endedAt)));
  };

  /** NIST/SEMATECH e-Handbook, 8.4.2.2: three temperature cells, each for itself (figures seen; more digits recomputed). */
  it("finds each cell of an accelerated test, hot cells failing sooner, to five digits", () => {
    const { inputs, expected } = casesOf("lifeTests.json")[1];
    (inputs.cells as Cell[]).forEach((cell, i) => {
      const told = ([mu, logSigma]: readonly number[]): number =>
        cellTold(cell, inputs.censored_at, 7 + 2 * mu!, logSigma!);
      const { at, value } = modeOf(densityOf(2, told, noPrior), [0, 0]);
      expect((7 + 2 * at[0]!) / expected.computed_here.cell_mu[i]).toBeCloseTo(1, 5);
      expect(Math.exp(at[1]!) / expected.computed_here.cell_sigma[i]).toBeCloseTo(1, 5);
      expect(value).toBeCloseTo(expected.cell_loglik[i], 1);
    });
  });

  /** The same example under one Arrhenius law and one spread: stress moves the time scale, as clock does here. */
  it("finds the Arrhenius law over the cells, and that the cells do not speak against it", () => {
    const { inputs, expected } = casesOf("lifeTests.json")[1];
    const cells = inputs.cells as Cell[];
    const perKelvin = (cell: Cell): number => 1 / (inputs.k_eV_per_K * (cell.temp_C + inputs.kelvin_offset));
    const centre = perKelvin(cells[1]!);
    const density = densityOf(
      3,
      ([level, energy, logSigma]) =>
        cells.reduce(
          (sum, cell) =>
            sum +
            cellTold(cell, inputs.censored_at, 7 + level! + energy! * (perKelvin(cell) - centre), logSigma!),
          0,
        ),
      noPrior,
    );
    const { at, value } = modeOf(density, [0, 0.5, 0]);
    const { intercept, Ea_eV, sigma, loglik } = expected.arrhenius;
    expect(at[1]!).toBeCloseTo(Ea_eV, 3);
    expect(7 + at[0]! - at[1]! * centre).toBeCloseTo(intercept, 2);
    expect(Math.exp(at[2]!)).toBeCloseTo(sigma, 3);
    expect(value).toBeCloseTo(loglik, 3);
    expect(2 * (expected.sum_cell_loglik - value)).toBeLessThan(expected.chi2_95);
  });

  /**
   * A Bruceton test of 44 trials as worked in an encyclopedia (trial data seen as quoted, short formula seen): Dixon and
   * Mood (1948) give 3.45 and 0.2645; the probit likelihood over all trials, recomputed, peaks beside it.
   */
  it("finds median and spread of an up-and-down test of 44 trials, near the short formula's", () => {
    const { inputs, expected } = casesOf("sensitivity.json")[0];
    const responded = inputs.responded as number[];
    const likelihood = ([shift, logSpread]: readonly number[]): number =>
      (inputs.levels as number[]).reduce((sum, level, i) => {
        const share = normalCdf((level - 3.4 - shift!) / (0.2 * Math.exp(logSpread!)));
        return sum + Math.log(responded[i] === 1 ? share : 1 - share);
      }, 0);
    const { at } = modeOf(densityOf(2, likelihood, noPrior), [0, 0]);
    const { mean, sigma } = expected.computed_here.probit_ML_all_44;
    expect(3.4 + at[0]!).toBeCloseTo(mean, 6);
    expect(0.2 * Math.exp(at[1]!)).toBeCloseTo(sigma, 6);
    expect(Math.abs(3.4 + at[0]! - expected.mean)).toBeLessThan(inputs.step / 20);
    expect((0.2 * Math.exp(at[1]!)) / expected.sd).toBeGreaterThan(0.9);
  });
});

/** Binomial demonstration tables (figures from memory, recomputed): so many trials with so many failures show a reliability. */
describe("exact binomial limits as a demonstration test", () => {
  it("show a reliability at the table's number of trials and not at one fewer", () => {
    const { inputs, expected } = casesOf("lifeTests.json")[2];
    (inputs.rows as { R: number; C: number; c: number[] }[]).forEach(({ R, C, c }, row) => {
      c.forEach((failures, column) => {
        const trials = expected.n[row][column] as number;
        const shown = (n: number): number => binomialLimits(n - failures, n, 2 * C - 1)!.lower;
        expect(shown(trials), `${R} at ${C}, ${failures}`).toBeGreaterThanOrEqual(R - 1e-9);
        expect(shown(trials - 1), `${R} at ${C}, ${failures}`).toBeLessThan(R);
      });
    });
  });
});

/** A forecast's log score; the figure is seen in the source, the log loss of a documentation's worked example. */
describe("the log score of forecasts", () => {
  const { inputs, expected } = casesOf("scores.json")[0];
  const given = inputs.log.probability_given_to_the_outcome as number[];

  it("is the published one, whichever way an outcome is told", () => {
    const asPasses = given.map((chance) => ({ chance, passed: true }));
    const asFailures = given.map((chance) => ({ chance: 1 - chance, passed: false }));
    for (const foretold of [asPasses, asFailures]) {
      expect(-logScores(foretold).forecast).toBeCloseTo(expected.log, 5);
      expect(-logScores(foretold).forecast).toBeCloseTo(expected.computed_here.log, 10);
    }
  });

  it("is proper: of all constant forecasts the base rate scores best (I. J. Good, 1952)", () => {
    const passed = [true, true, true, false];
    const scoreOf = (chance: number): number =>
      logScores(passed.map((one) => ({ chance, passed: one }))).forecast;
    const { baseRate } = logScores(passed.map((one) => ({ chance: 0.5, passed: one })));
    expect(scoreOf(0.75)).toBeCloseTo(baseRate, 12);
    for (const other of [0.5, 0.7, 0.8, 0.95]) expect(scoreOf(other)).toBeLessThan(baseRate);
  });
});
