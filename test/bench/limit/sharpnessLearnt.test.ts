import { describe, expect, it } from "vitest";
import { limitFitOf } from "../../../server/bench/limit/limitFit.ts";
import { parametersAt } from "../../../server/bench/limit/limitParameters.ts";
import {
  baseSharpness,
  type SharpnessPrior,
  sharpnessScaleOf,
} from "../../../server/bench/limit/sharpness.ts";
import { chipSharpnessOf, sharpnessLearntFrom } from "../../../server/bench/limit/sharpnessLearnt.ts";
import { normalCdf } from "../../../server/numerics/distributions.ts";
import { pointOf } from "../../../server/numerics/particles.ts";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import { evidenceRow, testChip, testWorkload } from "../../support/evidenceRows.ts";

/** A chip whose record leaves little open: equally likely logarithms about one. */
const shown = (sigma: number, spread: number, seed: number) => {
  const { normal } = seededRandom(seed);
  return { logSigmas: Array.from({ length: 64 }, () => Math.log(sigma) + spread * normal()) };
};
const tenOf = (sigma: number) => Array.from({ length: 10 }, (_, i) => shown(sigma, 0.3, i));

describe("sharpnessLearntFrom", () => {
  it("is the base where no chip has shown anything", () => {
    expect(sharpnessLearntFrom([], "cpu")).toBe(baseSharpness);
  });

  it("is not moved by chips that tell no more than the base", () => {
    const { normal } = seededRandom(1);
    const vague = Array.from({ length: 10 }, () => ({
      logSigmas: Array.from({ length: 64 }, () => baseSharpness.mean + baseSharpness.scale * normal()),
    }));
    const learnt = sharpnessLearntFrom(vague, "cpu");
    expect(Math.abs(learnt.mean - baseSharpness.mean)).toBeLessThan(0.2);
    expect(learnt.scale).toBeGreaterThan(0.3);
  });

  it("moves towards what ten chips showed and narrows, the more the more there are", () => {
    const [one, ten] = [
      sharpnessLearntFrom(tenOf(0.0055).slice(0, 1), "cpu"),
      sharpnessLearntFrom(tenOf(0.0055), "cpu"),
    ];
    const truth = Math.log(0.0055);
    expect(Math.abs(ten.mean - truth)).toBeLessThan(Math.abs(one.mean - truth));
    expect(Math.abs(ten.mean - truth)).toBeLessThan(0.2);
    expect(ten.scale).toBeLessThan(one.scale);
    expect(ten.name).toBe("what 10 other chips of this kind showed");
    expect(new Set([one.version, ten.version, baseSharpness.version]).size).toBe(3);
  });

  it("comes to what twenty thousand kinds drawn at random leave, each weighed by what the chips showed", () => {
    const chips = [shown(0.0018, 0.2, 1), shown(0.0055, 0.2, 2), shown(0.011, 0.2, 3)];
    const learnt = sharpnessLearntFrom(chips, "cpu");
    const { normal } = seededRandom(11);
    const density = (x: number, mean: number, sd: number) => Math.exp(-0.5 * ((x - mean) / sd) ** 2) / sd;
    const kinds = Array.from({ length: 20_000 }, () => {
      // The middle lies about the base by 0.45, chips scatter about it by 0.4, give or take a factor of e^0.5.
      const [mean, sd] = [baseSharpness.mean + 0.45 * normal(), 0.4 * Math.exp(0.5 * normal())];
      const factors = chips.map(({ logSigmas }) => {
        const each = logSigmas.map(
          (x) => density(x, mean, sd) / density(x, baseSharpness.mean, baseSharpness.scale),
        );
        return each.reduce((sum, one) => sum + one, 0) / each.length;
      });
      return { next: mean + sd * normal(), mean, weight: factors.reduce((product, one) => product * one, 1) };
    });
    const total = kinds.reduce((sum, { weight }) => sum + weight, 0);
    const mean = kinds.reduce((sum, one) => sum + one.weight * one.mean, 0) / total;
    const within = (half: number) =>
      kinds.reduce((sum, one) => sum + (Math.abs(one.next - mean) < half ? one.weight : 0), 0) / total;
    expect(Math.abs(learnt.mean - mean)).toBeLessThan(0.02);
    // A Student t with four degrees of freedom holds 68.27 % within 1.1416 scales (tables of the distribution).
    expect(within(1.1416 * learnt.scale)).toBeGreaterThan(0.6827 - 0.015);
    expect(within(1.1416 * learnt.scale)).toBeLessThan(0.6827 + 0.015);
    expect([0.45, baseSharpness.scale]).not.toContain(learnt.scale);
  });

  it("believes no less of the scatter than chips of one kind have, however alike those before were", () => {
    const alike = Array.from({ length: 24 }, (_, i) => shown(0.0016, 0.05, i));
    expect(sharpnessLearntFrom(alike, "cpu").scale).toBe(0.45);
    expect(sharpnessLearntFrom(tenOf(0.0016).slice(0, 1), "cpu").scale).toBeGreaterThan(0.45);
  });

  it("is never less sure than the base, however far apart those before were", () => {
    const apart = [shown(0.0005, 0.05, 1), shown(0.02, 0.05, 2)];
    expect(sharpnessLearntFrom(apart, "cpu").scale).toBe(baseSharpness.scale);
  });

  it("takes the next chip for a tenth sharper than usual ones at most, however sharp those before were", () => {
    expect(sharpnessLearntFrom(tenOf(0.0016), "cpu").mean).toBeCloseTo(baseSharpness.mean - 0.1, 3);
    expect(sharpnessLearntFrom(tenOf(0.0045), "cpu").mean).toBeGreaterThan(baseSharpness.mean + 0.2);
  });

  it("leaves the more to soft limits the sharper those before were, and nothing more where they were usual", () => {
    const shareOf = (sigma: number) => sharpnessLearntFrom(tenOf(sigma), "cpu").softShare;
    expect([shareOf(0.0045), shareOf(0.003)]).toEqual([0, 0]);
    expect(shareOf(0.0026)).toBeGreaterThan(0.02);
    expect(shareOf(0.0026)).toBeLessThan(0.2);
    expect(shareOf(0.0016)).toBe(0.2);
    const chanceOf = (sigma: number, prior: SharpnessPrior): number => {
      const scale = sharpnessScaleOf(prior);
      const beyond = Array.from({ length: 600 }, (_, i) => -4 + i / 75).find(
        (u) => scale.at(u) > Math.log(sigma),
      );
      return 1 - normalCdf(beyond ?? 4);
    };
    const learnt = sharpnessLearntFrom(tenOf(0.0016), "cpu");
    expect(chanceOf(0.008, learnt)).toBeGreaterThan(0.09);
    expect(chanceOf(0.008, learnt)).toBeLessThan(0.2);
    expect(chanceOf(0.008, { ...learnt, softShare: 0, version: "without" })).toBeLessThan(0.06);
  });

  it("is the posterior that a slow sum over the same cells gives, chips as they come or turned about", () => {
    const chips = tenOf(0.004);
    expect(sharpnessLearntFrom([...chips].reverse(), "gpu")).toEqual(sharpnessLearntFrom(chips, "gpu"));
  });

  it("keeps a tenth of the base: a limit five times as soft stays within what may be", () => {
    const scale = sharpnessScaleOf(sharpnessLearntFrom(tenOf(0.0016), "cpu"));
    const reached = Array.from({ length: 400 }, (_, i) => scale.at(-4 + i / 50)).filter(
      (value) => value > Math.log(0.008),
    );
    expect(reached.length).toBeGreaterThan(50);
  });
});

describe("chipSharpnessOf", () => {
  const ask = (outcomes: readonly ("pass" | "freeze")[], sharpness = baseSharpness) => ({
    chip: testChip(),
    hottestAmbientC: 30,
    rows: outcomes.map((outcome, i) =>
      evidenceRow({
        clockMhz: 5000 + 25 * i,
        outcome,
        durationS: outcome === "pass" ? 1200 : 300,
        loadTempC: 72,
      }),
    ),
    workloads: [testWorkload("all-core")],
    sharpness,
  });

  it("asks for a pass and a crash, and looks under the base whatever has been learnt since", () => {
    expect(chipSharpnessOf(ask(["pass", "pass"]))).toBeNull();
    expect(chipSharpnessOf(ask(["freeze", "freeze"]))).toBeNull();
    const plain = chipSharpnessOf(ask(["pass", "pass", "freeze"]))!;
    expect(plain.logSigmas).toHaveLength(64);
    expect(
      chipSharpnessOf(ask(["pass", "pass", "freeze"], sharpnessLearntFrom(tenOf(0.0016), "cpu"))),
    ).toEqual(plain);
  });

  it("changes the fit of another chip, which is kept apart by the prior's version", () => {
    const learnt = sharpnessLearntFrom(tenOf(0.007), "cpu");
    const meanSharpness = (context: ReturnType<typeof ask>): number => {
      const { draws, frame } = limitFitOf(context)!;
      return Array.from(
        { length: draws.count },
        (_, k) => draws.weights[k]! * Math.log(parametersAt(pointOf(draws, k), frame).sigma),
      ).reduce((sum, value) => sum + value, 0);
    };
    const rows = ask(["pass", "freeze", "freeze"]);
    expect(meanSharpness({ ...rows, sharpness: learnt })).toBeGreaterThan(meanSharpness(rows) + 0.15);
  });
});
