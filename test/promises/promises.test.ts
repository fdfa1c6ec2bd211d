import { describe, expect, it } from "vitest";
import { fitOf, limitGroundsOf } from "../../server/bench/limit/limitFit.ts";
import { hazardsAt, type LimitDraws, limitDrawsOf } from "../../server/bench/limit/limitReach.ts";
import { nextAttemptOf } from "../../server/bench/next/nextAttempt.ts";
import type { EvidenceRow } from "../../server/bench/things/evidenceRow.ts";
import { evidenceRow } from "../support/evidenceRows.ts";
import { coverageOf, type Fitting, stresses, withPlainMinutes } from "./coverage.ts";
import { figuresOf, searched } from "./oneVoltage.ts";
import { logScores, meanOf } from "./statistics.ts";
import { type Bench, benchOf, type Population, type Simulator, simulators } from "./subjects.ts";
import {
  coarseThenFine,
  hazard,
  proposedMap,
  proposedUndervolt,
  proposedWalk,
  questionFor,
  spareMv,
} from "./walks.ts";

/**
 * The short form of `npm run promises`: fewer chips, the seeds fixed, so that each figure is one number until the method
 * changes. The bounds are pinned beside what these seeds gave; what it gives over many chips stands in the README beside this file.
 */
const seed = 7_000_000;
const benchesOf = (count: number, population: Population, simulator: Simulator): Bench[] =>
  Array.from({ length: count }, (_, index) => benchOf(seed, index, population, simulator));

/** The chance that 5,000 MHz at 1,250 mV meet the hazard asked for. */
const chanceUnderHazard = (draws: LimitDraws): number =>
  hazardsAt(draws, 5000, 1250).reduce(
    (chance, found, k) => (found <= hazard ? chance + draws.weights[k]! : chance),
    0,
  );

describe("the 90 % band over simulated chips", () => {
  const chips = 60;
  const sampled = coverageOf({ chips, attempts: 10, seed });
  /** On these seeds 262 of 305; a band of 80 % holds 237. */
  const pinned = 258 / 305;

  it("holds the limit, and one that really holds 80 % would not do", () => {
    expect(sampled.limit).toBeGreaterThanOrEqual(pinned);
    expect(sampled.limit).toBeLessThan(0.97);
    const narrower = coverageOf({ chips, attempts: 10, seed, band: [0.1, 0.9] });
    expect(narrower.limit).toBeLessThan(pinned);
    expect(Math.abs(sampled.above - 0.5)).toBeLessThan(0.2);
  });

  it("holds the voltage for a clock as often as that", () => {
    expect(Math.round(sampled.voltage * chips)).toBeGreaterThanOrEqual(50);
  });

  it("knows that six ten-minute passes are not an hour, and forgets it where every minute counts as a hot one", () => {
    const { subject } = benchOf(seed, 0, "ordinary", "first");
    const chanceOf = (rows: readonly EvidenceRow[], fitting: Fitting): number => {
      const grounds = limitGroundsOf(questionFor(subject, rows, 1))!;
      const chances = [1, 2, 3, 4, 5, 6].map((sampling) => {
        const fitted = fitting(grounds, sampling);
        return chanceUnderHazard(limitDrawsOf(fitted, fitted.draws, "all-core"));
      });
      return meanOf(chances).mean;
    };
    const pass = (durationS: number) => evidenceRow({ clockMhz: 5000, loadTempC: 73, durationS });
    const crash = evidenceRow({ clockMhz: 5050, loadTempC: 73, durationS: 600, outcome: "freeze" });
    const tens = Array.from({ length: 6 }, () => pass(600));
    const gap = (fit: Fitting): number =>
      chanceOf([pass(3600), crash], fit) - chanceOf([...tens, crash], fit);
    expect(gap(fitOf)).toBeGreaterThan(0.03);
    expect(gap(withPlainMinutes)).toBeLessThan(0.01);
  });

  /** On these seeds 135 of 156, 113 of 147, and 140, 145 and 150 of 154. */
  const pinnedWith: Readonly<Record<string, number>> = {
    "a limit 0.4 times as soft": 132 / 156,
    "a limit 3 times as soft": 110 / 147,
    "stray crashes, one in ten hours": 137 / 154,
    "one false pass": 142 / 154,
    "a room six degrees off, temperatures measured": 147 / 154,
  };

  it.each(Object.keys(stresses))("holds it with %s", (name) => {
    expect(coverageOf({ chips: 30, attempts: 10, seed, ...stresses[name] }).limit).toBeGreaterThanOrEqual(
      pinnedWith[name] ?? Number.NaN,
    );
  });
});

/** On these seeds: 46 and 33 MHz under, 110 and 101 minutes, 2.6 and 2.9 crashes, 1 and 4 of 36 unfit, 97.5 and 93.6 % of hours pass. */
const pinned = {
  first: { underMhz: 50, minutes: 115, crashes: 2.9, unfit: 2, hours: 0.965 },
  second: { underMhz: 37, minutes: 106, crashes: 3.1, unfit: 5, hours: 0.925 },
} as const;

/** Of twelve: 24.0 and 26.0 mV to spare, 68 and 56 minutes, 1 and 0 unfit. */
const pinnedVoltage = {
  first: { spareMv: 27, minutes: 73, unfit: 2 },
  second: { spareMv: 29, minutes: 61, unfit: 1 },
} as const;

describe.each(simulators)("what is proposed over broad chips of the %s simulator", (simulator) => {
  const chips = 36;
  const ours = searched(benchesOf(chips, "broad", simulator), (bench) => proposedWalk(bench));
  const figures = figuresOf(ours);

  it("ends every search, near the truth, seldom beyond it, with few crashes", () => {
    const most = pinned[simulator];
    expect(figures.endless).toBe(0);
    expect(figures.under.mean).toBeLessThan(most.underMhz);
    expect(figures.minutes.mean).toBeLessThan(most.minutes);
    expect(figures.crashes.mean).toBeLessThan(most.crashes);
    expect(Math.round(figures.unfit.mean * chips)).toBeLessThanOrEqual(most.unfit);
    expect(figures.hours.mean).toBeGreaterThan(most.hours);
    expect(figures.nearTop.mean).toBeGreaterThan(0.68);
  });

  it("comes nearer than steps of 100 and 25 MHz five below, which is a pencil's best", () => {
    const pencil = figuresOf(
      searched(benchesOf(chips, "broad", simulator), (bench) => coarseThenFine(bench)),
    );
    expect(figures.under.mean).toBeLessThan(pencil.under.mean);
  });

  it("foretells passes and crashes better than the base rate does", () => {
    const { forecast, baseRate } = logScores(ours.walks.flatMap(({ foretold }) => foretold));
    expect(forecast).toBeGreaterThan(baseRate + 0.03);
  });

  it("finds the lowest voltage for a clock, and ends", () => {
    const benches = benchesOf(12, "broad", simulator);
    const walks = benches.map((bench) => ({ bench, walk: proposedUndervolt(bench) }));
    expect(walks.filter(({ walk }) => walk.answer === null)).toEqual([]);
    const spares = walks.map(({ bench, walk }) => spareMv(bench, walk.answer!));
    const most = pinnedVoltage[simulator];
    expect(meanOf(spares).mean).toBeLessThan(most.spareMv);
    expect(spares.filter((spare) => spare < 0).length).toBeLessThanOrEqual(most.unfit);
    expect(meanOf(walks.map(({ walk }) => walk.minutes)).mean).toBeLessThan(most.minutes);
  });

  it("maps six voltages nearly all within two steps, and ends", () => {
    const maps = benchesOf(2, "broad", simulator).map((bench) => ({ bench, map: proposedMap(bench) }));
    expect(maps.filter(({ map }) => map.answer === null)).toEqual([]);
    const near = maps.flatMap(({ bench, map }) =>
      map.answer!.filter(({ voltageMv, clockMhz }) => {
        const under = bench.subject.clockAt(voltageMv, hazard) - clockMhz;
        return under > -50 && under < 75;
      }),
    );
    expect(near.length).toBeGreaterThanOrEqual(11);
    expect(meanOf(maps.map(({ map }) => map.minutes)).mean).toBeLessThan(300);
  });
});

describe("no proposal on the way", () => {
  it.each(simulators)(
    "is as hard as a failure that stands, nor long and unlikely, on the %s simulator",
    (simulator) => {
      let looked = 0;
      for (const { subject, random } of benchesOf(8, "broad", simulator)) {
        const rows: EvidenceRow[] = [];
        for (let turn = 1; turn <= 30; turn++) {
          const { voltageMv } = subject.stock;
          const next = nextAttemptOf({ ...questionFor(subject, rows, turn), voltageMv });
          if (!("durationS" in next)) break;
          looked += 1;
          const standing = rows.filter(
            (row) =>
              row.outcome !== "pass" &&
              !rows.some(
                (later) =>
                  later.outcome === "pass" &&
                  later.clockMhz >= row.clockMhz &&
                  later.durationS > row.durationS,
              ),
          );
          const lowest = Math.min(...standing.map(({ clockMhz }) => clockMhz));
          expect(next.clockMhz).toBeLessThan(lowest);
          expect(next.durationS <= 600 || next.chanceOfPass >= 0.3).toBe(true);
          rows.push(subject.ran({ ...next, minutes: next.durationS / 60 }, random).row);
        }
      }
      expect(looked).toBeGreaterThan(40);
    },
  );
});
