import { describe, expect, it } from "vitest";
import { usualAssumptions } from "../../../server/bench/comparison/assumptions.ts";
import { equalNoiseOf, equalNoiseWords } from "../../../server/bench/comparison/heatOverNoise.ts";
import type { NoiseReading } from "../../../server/bench/noise/noiseReading.ts";
import type { ComparedRun } from "../../../server/bench/runs/comparedRun.ts";
import { type SeededRandom, seededRandom } from "../../../server/numerics/seededRandom.ts";
import { run, simulatedBuild } from "./benchDay.ts";

const at = (hour: number, minute: number) => `2031-03-02T${hour}:${String(minute).padStart(2, "0")}:00.000Z`;

type Sweep = Readonly<{ atFortyC: number; placeDb: number; backgroundDba?: number; loudestGainsC?: number }>;

/** One mount at four fan speeds: 1.5 degrees less for each decibel more, the meter off by one amount throughout. */
function sweep(name: string, { atFortyC, placeDb, backgroundDba = 15, loudestGainsC = 0 }: Sweep) {
  const levels = [36, 39, 42, 45];
  const runs = levels.map((levelDb, n) =>
    run({
      id: `${name}-sweep-${n}`,
      mountId: `${name}-sweep`,
      startedAt: at(10 + n, 0),
      fanRpm: 800 * 1.3 ** n,
      loadTempC: 22 + atFortyC - 1.5 * (levelDb - 40) - (levelDb === 45 ? loudestGainsC : 0),
    }),
  );
  const readings = levels.map(
    (levelDb, n): NoiseReading => ({
      ...{ id: `${name}-${n}`, createdAt: "", updatedAt: "", version: 1, buildId: name },
      ...{ workloadId: "all-core", clockMhz: 4600, voltageMv: 1200, distanceM: 0.5, note: "" },
      ...{ levelsDba: [levelDb + placeDb], backgroundDba, takenAt: at(10 + n, 14) },
    }),
  );
  return { runs, readings };
}

const usual = { mounts: 3, runsPerMount: 2, mountC: 0.8, runC: 0.3 };

/** A build with three plain mounts besides its sweep. */
function build(name: string, sweeping: Sweep, random: SeededRandom) {
  const { runs, readings } = sweep(name, sweeping);
  const plain = simulatedBuild(name, { ...usual, riseC: 60 }, random).runs;
  return { id: name, name, readings, runs: [...plain, ...runs] as readonly ComparedRun[] };
}

const grounds = { elsewhere: [], assumptions: usualAssumptions };
const found = (a: ReturnType<typeof build>, b: ReturnType<typeof build>) =>
  equalNoiseOf(a, [b], grounds)!.others[0]!;

describe("equalNoiseInterval", () => {
  it("takes for the slope all the loudness compared, the loudest speed too", () => {
    const random = seededRandom(5);
    const loudness = (loudestGainsC: number) =>
      found(
        build("Frame", { atFortyC: 60, placeDb: 0, loudestGainsC }, random),
        build("Shelf", { atFortyC: 52, placeDb: 0 }, random),
      ).interval!.budget.find(({ source }) => source === "loudness")!;
    const [straight, bent] = [loudness(0), loudness(4.5)];
    // From 36 to 45 dB it falls by 13.5 degrees, or by 18.
    expect(bent.a! / straight.a!).toBeCloseTo(18 / 13.5, 6);
    expect(bent.b).toBeCloseTo(straight.b!, 9);
    // Degrees per decibel, by ±1 dB for the place and a fifth of ±1.5 dB that one meter leaves.
    expect(straight.b).toBeCloseTo((1.5 * Math.hypot(1, (0.2 * 1.5) / Math.SQRT2)) / Math.sqrt(3), 6);
  });

  it("counts mounts, loudness by the slope, room and sensor, and judges", () => {
    const random = seededRandom(5);
    const one = found(
      build("Frame", { atFortyC: 60, placeDb: 0 }, random),
      build("Shelf", { atFortyC: 52, placeDb: 0 }, random),
    );
    const { low, high, verdict, budget } = one.interval!;
    expect(one.at.meanDifferenceC).toBeCloseTo(-8, 6);
    expect(low!).toBeLessThan(-8);
    expect(high!).toBeGreaterThan(-8);
    expect(verdict).toBe("differs");
    expect(budget.map(({ source }) => source)).toEqual(["mount to mount", "loudness", "room", "sensor"]);
    // ±1 dB of place (rectangular, GUM 4.3.7) at 1.5 °C/dB, and a little of the meter.
    const [place, meter] = [1 / Math.sqrt(3), (1.5 / Math.sqrt(3)) * (0.2 / Math.SQRT2)];
    expect(budget[1]!.a).toBeCloseTo(1.5 * Math.hypot(place, meter), 2);
    expect(equalNoiseWords("Frame", "Shelf", one)).toMatch(
      /Shelf runs 8\.0 °C cooler on average \(difference −\d+\.\d to −\d+\.\d °C, 95 %: differs\)/,
    );
  });

  it("asks nothing of readings from another distance or at another setting", () => {
    const random = seededRandom(5);
    const [frame, shelf] = [
      build("Frame", { atFortyC: 60, placeDb: 0 }, random),
      build("Shelf", { atFortyC: 52, placeDb: 0 }, random),
    ];
    const faint = { ...frame.readings[0]!, id: "faint", levelsDba: [38], backgroundDba: 31.5 };
    const beside = (more: object) =>
      found({ ...frame, readings: [...frame.readings, { ...faint, ...more }] }, shelf).interval!;
    const usual = found(frame, shelf).interval!;
    expect(beside({ distanceM: 2 }).budget).toEqual(usual.budget);
    expect(beside({ clockMhz: 4700 }).budget).toEqual(usual.budget);
    expect(beside({}).budget[1]!.a!).toBeGreaterThan(usual.budget[1]!.a!);
  });

  it("says nothing where it is not known how far mounts scatter, and takes it as stated", () => {
    const [a, b] = [
      sweep("Frame", { atFortyC: 60, placeDb: 0 }),
      sweep("Shelf", { atFortyC: 57, placeDb: 0 }),
    ];
    const with_ = (mountScatterC: number | null) =>
      equalNoiseOf(a, [{ id: "b", name: "Shelf", ...b }], {
        elsewhere: [],
        assumptions: { ...usualAssumptions, mountScatterC },
      })!.others[0]!.interval!;
    expect(with_(null)).toMatchObject({ low: null, high: null, verdict: "not-enough" });
    expect(with_(1).low!).toBeLessThan(-3);
    expect(with_(3).low!).toBeLessThan(with_(1).low!);
  });

  it("finds the scatter of mounts from one fan speed on two mounts of each build, each mount counting once", () => {
    const twice = (name: string, atFortyC: readonly [number, number]) => {
      const sweeps = atFortyC.map((one, n) => sweep(`${name}${n}`, { atFortyC: one, placeDb: 0 }));
      const apart = sweeps[1]!.runs.map((one) => ({
        ...one,
        startedAt: one.startedAt.replace("03-02", "03-05"),
      }));
      return { id: name, name, readings: sweeps[0]!.readings, runs: [...sweeps[0]!.runs, ...apart] };
    };
    const one = found(twice("Frame", [60.4, 59.6]), twice("Shelf", [50.5, 49.5]));
    const [mounts] = one.interval!.budget;
    // Two pairs, 0.8 and 1.0 apart: pooled variance (0.8² / 2 + 1.0² / 2) / 2.
    expect(mounts).toMatchObject({ source: "mount to mount", counted: true, degreesOfFreedom: 2 });
    expect(mounts!.a).toBeCloseTo(Math.sqrt((0.32 + 0.5) / 2) / Math.SQRT2, 6);
    expect(one.interval!.verdict).toBe("differs");
    expect(one.at.meanDifferenceC).toBeCloseTo(-10, 6);
  });

  it("goes by levels well over the background where two of each build are", () => {
    const random = seededRandom(7);
    const one = found(
      build("Frame", { atFortyC: 60, placeDb: 0, backgroundDba: 32 }, random),
      build("Shelf", { atFortyC: 50, placeDb: 0, backgroundDba: 32 }, random),
    );
    expect(one.at.bounds).toEqual([false, false]);
    expect(one.at.points[0]!.noiseDba).toBeGreaterThan(37);
    expect(one.interval!.low).not.toBeNull();
  });

  it("says so where both were read too close to the background", () => {
    const random = seededRandom(8);
    const near = { placeDb: 0, backgroundDba: 43 };
    const one = found(
      build("Frame", { atFortyC: 60, ...near }, random),
      build("Shelf", { atFortyC: 50, ...near }, random),
    );
    expect(one.interval).toMatchObject({ low: null, high: null, verdict: "not-enough" });
    expect(equalNoiseWords("Frame", "Shelf", one)).toContain("too close to the background");
  });

  it("leaves an end open where a level is only the most it can be", () => {
    const random = seededRandom(6);
    const one = found(
      build("Frame", { atFortyC: 60, placeDb: 0 }, random),
      build("Shelf", { atFortyC: 50, placeDb: 0, backgroundDba: 42 }, random),
    );
    expect(one.interval!.low).toBeNull();
    expect(one.interval!.high).not.toBeNull();
  });

  it("holds the true difference in 95 of 100 days, give or take what chance allows", () => {
    const days = 300;
    let held = 0;
    for (let day = 0; day < days; day++) {
      const random = seededRandom(900 + day);
      const side = (name: string, atFortyC: number) =>
        build(
          name,
          { atFortyC: atFortyC + usual.mountC * random.normal(), placeDb: random.uniformIn(-1, 1) },
          random,
        );
      const { low, high } = found(side("Frame", 60), side("Shelf", 57)).interval!;
      if (low! <= -3 && high! >= -3) held += 1;
    }
    // Binomial(300, 0.95): fewer than 274 once in a thousand.
    expect(held).toBeGreaterThanOrEqual(274);
    expect(held).toBeLessThanOrEqual(300);
  });
});
