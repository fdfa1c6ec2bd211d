import { describe, expect, it } from "vitest";
import { depthBelowTurn, lowReferenceTempC } from "../../../server/bench/limit/heatTurn.ts";
import { clocksAtHazard, hazardsAt } from "../../../server/bench/limit/limitReach.ts";
import { knownDraws } from "../../support/knownDraws.ts";

const referenceMv = 1200;
const riseC = 30;

/** One draw each for turns of nothing, five and twenty. */
const drawsIn = (roomC: number, power = 0) =>
  knownDraws({ limitsMhz: [5000, 5000, 5000], turns: [0, 5, 20], roomC, riseC, power });
const lowMv = 0.7 * referenceMv;

describe("the clock that meets a hazard, and the hazard at a clock", () => {
  it("are each other's inverse at every voltage, also where heat turns and grows with the clock", () => {
    for (const roomC of [5, 20, 35])
      for (const share of [0.6, 0.75, 0.82, 0.9, 1, 1.15])
        for (const hazard of [1e-5, 1 / 600, 0.1]) {
          const draws = drawsIn(roomC, 2);
          const clocks = clocksAtHazard(draws, share * referenceMv, hazard);
          clocks.forEach((clockMhz, k) => {
            const back = hazardsAt(draws, clockMhz, share * referenceMv)[k]!;
            expect(back / hazard, `${roomC} ${share} ${hazard} ${k}`).toBeCloseTo(1, 6);
          });
        }
  });

  it("say the same whatever heat does far down, where the chip stands at the temperature that turns about", () => {
    const [plain, turning, wholly] = clocksAtHazard(drawsIn(lowReferenceTempC - riseC), lowMv, 1 / 600);
    expect(turning).toBeCloseTo(plain!, 6);
    expect(wholly).toBeCloseTo(plain!, 6);
  });

  it("fall in a warmer room, far down by less, and rise there where heat has turned round", () => {
    const cool = clocksAtHazard(drawsIn(20), lowMv, 1 / 600);
    const warm = clocksAtHazard(drawsIn(30), lowMv, 1 / 600);
    const lost = cool.map((clockMhz, k) => Math.log(clockMhz / warm[k]!));
    const depth = depthBelowTurn(Math.log(lowMv / referenceMv));
    [0, 5, 20].forEach((turn, k) => {
      expect(lost[k]).toBeCloseTo(10 * 0.001 * (1 - turn * depth), 9);
    });
    expect(lost[2]).toBeLessThan(0);
  });
});
