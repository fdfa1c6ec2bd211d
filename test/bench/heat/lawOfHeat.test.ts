import { describe, expect, it } from "vitest";
import {
  type HeatForecast,
  type HeatUnknown,
  lawOfHeatOf,
  levelledLoad,
  loadTempForecast,
} from "../../../server/bench/heat/lawOfHeat.ts";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import { evidenceRow, testChip, testWorkload } from "../../support/evidenceRows.ts";
import { leakyPowerW, leakySteadyC } from "../../support/leakyBuild.ts";
import { type HeatStep, heatSteps, leakyHeatHeld } from "../../support/leakyHeat.ts";

const chip = testChip();
const question = { chip, clockMhz: 4600, voltageMv: 1250, workloadId: "all-core", ambientC: 23 };
const known = (answer: HeatForecast | HeatUnknown): HeatForecast => {
  if ("unknown" in answer) throw new Error(answer.unknown);
  return answer;
};
const width = ({ low, high }: HeatForecast): number => high - low;
const plainRise = (clockMhz: number, voltageMv: number): number =>
  50 * (voltageMv / 1250) ** 2.2 * (clockMhz / 4600);

describe("loadTempForecast", () => {
  it("answers one record at its own setting with what was read, and is wider elsewhere", () => {
    const rows = [evidenceRow({ loadTempC: 73 })];
    const here = known(loadTempForecast(rows, question));
    expect(here.mid).toBeCloseTo(73, 0);
    expect(here.low).toBeLessThan(73);
    expect(here.high).toBeGreaterThan(73);
    expect(here.from).toBe(1);
    const further = known(loadTempForecast(rows, { ...question, voltageMv: 1400 }));
    expect(further.mid).toBeGreaterThan(here.mid);
    expect(width(further)).toBeGreaterThan(width(here) * 1.2);
  });

  it("moves with the room by as much as the room moves", () => {
    const rows = [evidenceRow({ loadTempC: 73 })];
    const warm = known(loadTempForecast(rows, { ...question, ambientC: 33 }));
    expect(warm.mid - known(loadTempForecast(rows, question)).mid).toBeCloseTo(10, 9);
  });

  it("finds rise = b V^2.2 f in readings made by it, to half a degree", () => {
    const rows = [1150, 1200, 1250, 1300].map((voltageMv) =>
      evidenceRow({
        voltageMv,
        clockMhz: 3 * voltageMv,
        loadTempC: 23 + plainRise(3 * voltageMv, voltageMv),
      }),
    );
    const found = known(loadTempForecast(rows, { ...question, clockMhz: 4100, voltageMv: 1375 }));
    expect(Math.abs(found.mid - 23 - plainRise(4100, 1375))).toBeLessThan(0.5);
  });

  it("follows leakage that grows with voltage and heat, nearer and surer once power was read", () => {
    const build = { switched: 0.018, leakW: 30, perVolt: 3.3, perC: 0.008, resistanceCPerW: 0.3 };
    const rows = [1150, 1200, 1250, 1250].map((voltageMv, n) => {
      const setting = { volts: voltageMv / 1000, clockMhz: n === 3 ? 4300 : 4600 };
      const loadTempC = leakySteadyC(build, setting, 23);
      const powerW = leakyPowerW(build, setting, loadTempC);
      return evidenceRow({ voltageMv, clockMhz: setting.clockMhz, loadTempC, powerW, powerAt: "chip" });
    });
    const asked = { ...question, voltageMv: 1350, clockMhz: 4700 };
    const truth = leakySteadyC(build, { volts: 1.35, clockMhz: 4700 }, 23);
    const withPower = known(loadTempForecast(rows, asked));
    const without = known(
      loadTempForecast(
        rows.map((row) => ({ ...row, powerW: null })),
        asked,
      ),
    );
    expect(Math.abs(withPower.mid - truth)).toBeLessThan(2);
    expect(width(withPower)).toBeLessThan(width(without));
    expect(withPower.because).toContain("power read at 3 voltages");
    expect(Math.abs(withPower.mid - truth)).toBeLessThan(Math.abs(without.mid - truth));
  });

  it("never mixes power read at the chip with power read at the board or the wall", () => {
    const row = (voltageMv: number, powerAt: "chip" | "board" | "wall") =>
      evidenceRow({ voltageMv, loadTempC: 73, powerW: voltageMv / 8, powerAt });
    const because = (rows: Parameters<typeof loadTempForecast>[0]) =>
      known(loadTempForecast(rows, question)).because;
    expect(because([row(1200, "chip"), row(1250, "board")])).not.toContain("power read");
    expect(because([row(1200, "wall"), row(1250, "wall")])).not.toContain("power read");
    expect(because([row(1200, "board"), row(1250, "board"), row(1300, "chip")])).toContain("at 2 voltages");
  });

  it("widens for a mount that nothing was run on yet", () => {
    const rows = [1, 2, 3].map(() => evidenceRow({ loadTempC: 73 }));
    const same = known(loadTempForecast(rows, { ...question, mountId: "mount-1" }));
    const anew = known(loadTempForecast(rows, { ...question, mountId: "mount-2" }));
    expect(width(anew)).toBeGreaterThan(1.5 * width(same));
  });

  it.each(Object.keys(heatSteps) as HeatStep[])("holds what leaks nine times in ten at %s", (step) => {
    const ask = (withPower: boolean) => leakyHeatHeld(step, { builds: 150, seed: 6_000_000, withPower });
    const [without, withPower] = [ask(false), ask(true)];
    for (const { held, asked } of [without, withPower]) expect(held).toBeGreaterThanOrEqual(0.84 * asked);
    expect(withPower.halfWidthC).toBeLessThan(without.halfWidthC);
  });

  it("holds the next reading nine times in ten over simulated builds", () => {
    const random = seededRandom(41);
    let held = 0;
    for (let build = 0; build < 400; build++) {
      const exponent = 2.2 + 0.25 * random.normal();
      const rise = random.uniformIn(30, 70);
      const reading = (clockMhz: number, voltageMv: number, roomC: number): number =>
        roomC +
        rise * (voltageMv / 1250) ** exponent * (clockMhz / 4600) * (1 + 0.01 * random.normal()) +
        random.normal();
      const rows = Array.from({ length: 1 + random.index(6) }, () => {
        const clockMhz = 4400 + 25 * random.index(20);
        const voltageMv = 1150 + 12.5 * random.index(13);
        const ambientC = 22 + 2 * random.normal();
        return evidenceRow({
          clockMhz,
          voltageMv,
          ambientC,
          loadTempC: reading(clockMhz, voltageMv, ambientC),
        });
      });
      const forecast = known(
        loadTempForecast(rows, { ...question, clockMhz: 4700, voltageMv: 1350, ambientC: 25 }),
      );
      const next = reading(4700, 1350, 25);
      if (forecast.low <= next && next <= forecast.high) held += 1;
    }
    expect(held / 400).toBeGreaterThan(0.87);
    expect(held / 400).toBeLessThan(0.98);
  });

  it("takes the median room where an attempt names none, and says which room is assumed where none does", () => {
    const some = [evidenceRow({ loadTempC: 73 }), evidenceRow({ loadTempC: 73, ambientC: null })];
    expect(known(loadTempForecast(some, question)).mid).toBeCloseTo(73, 0);
    const unasked = known(
      loadTempForecast([evidenceRow({ loadTempC: 73, ambientC: 21.4 })], { ...question, ambientC: null }),
    );
    expect(unasked.because).toContain("; for the usual room of 21 °C.");
    expect(known(loadTempForecast(some, question)).because).not.toContain("usual room");
    const none = known(
      loadTempForecast([evidenceRow({ loadTempC: 73, ambientC: null })], { ...question, ambientC: null }),
    );
    expect(none.mid).toBeCloseTo(73, 0);
    expect(none.because).toContain("22 °C is assumed");
  });

  it("lifts a short run to where it would level out, and widens for it", () => {
    const short = known(loadTempForecast([evidenceRow({ durationS: 180, loadTempC: 66 })], question));
    const long = known(loadTempForecast([evidenceRow({ loadTempC: 66 })], question));
    expect(short.mid).toBeGreaterThan(long.mid + 3);
    expect(width(short)).toBeGreaterThan(width(long));
  });

  it("takes an idle chip to stand at 15 % of its rise already (common practice)", () => {
    const shareToCome = 0.6 * Math.exp(-2 / 0.2) + 0.4 * Math.exp(-2 / 3);
    const rise = (durationS: number) =>
      levelledLoad(evidenceRow({ durationS, loadTempC: 63, ambientC: 23 }), null)!.tempC - 23;
    expect(rise(120)).toBeCloseTo(40 / (1 - 0.85 * shareToCome), 9);
    expect(rise(36_000)).toBeCloseTo(40, 3);
  });

  it("gives a reason where nothing can be said", () => {
    expect(loadTempForecast([], question)).toEqual({
      unknown: "No attempt of this build has recorded a load temperature yet.",
    });
    const tooShort = loadTempForecast([evidenceRow({ durationS: 5, loadTempC: 50 })], question);
    expect(tooShort).toHaveProperty("unknown", expect.stringContaining("half a minute"));
    const throttled = loadTempForecast([evidenceRow({ throttled: true, loadTempC: 100 })], question);
    expect(throttled).toHaveProperty("unknown");
  });

  it("keeps idle readings out of a load's forecast and a load's out of idle", () => {
    const workloads = [testWorkload("all-core"), testWorkload("rest", { kind: "idle" })];
    const rows = [evidenceRow({ loadTempC: 73 }), evidenceRow({ workloadId: "rest", loadTempC: 33 })];
    expect(known(loadTempForecast(rows, { ...question, workloads })).mid).toBeCloseTo(73, 0);
    const atRest = known(loadTempForecast(rows, { ...question, workloads, workloadId: "rest" }));
    expect(atRest.mid).toBeCloseTo(33, 0);
  });

  it("stays finite far below zero and with absurd spreads", () => {
    const cold = known(loadTempForecast([evidenceRow({ ambientC: 22, loadTempC: -90 })], question));
    expect(cold.mid).toBe(-90);
    const odd = [evidenceRow({ loadTempC: 200 }), evidenceRow({ loadTempC: 26 })];
    const found = known(loadTempForecast(odd, { ...question, clockMhz: 20_000, voltageMv: 3000 }));
    expect([found.low, found.mid, found.high].every(Number.isFinite)).toBe(true);
  });
});

describe("a chip cooled below the room", () => {
  const rows = [-35, -38, -36].map((loadTempC) => evidenceRow({ ambientC: 22, loadTempC }));

  it("is forecast as it was read, the less surely the further the power lies from what was tried", () => {
    const near = known(loadTempForecast(rows, question));
    const far = known(loadTempForecast(rows, { ...question, clockMhz: 5600, voltageMv: 1450 }));
    expect(near.mid).toBeCloseTo(-36.3, 1);
    expect(far.mid).toBe(near.mid);
    expect(near.high - near.low).toBeLessThan(25);
    expect(far.high - far.low).toBeGreaterThan(1.5 * (near.high - near.low));
    expect(near.because).toContain("below room temperature, where the room says little");
  });

  it("lies where nine in ten next readings would, five degrees of scatter counted in as two readings of it", () => {
    // Mean -36.33, squares about it 4.67, with twice 25 over four degrees of freedom s = 3.70; Student's t of 0.95 at four is
    // 2.132 (NIST/SEMATECH handbook, 1.3.6.7.2), and a next reading after three scatters by s times the root of 1 + 1/3.
    const { low, mid, high } = known(loadTempForecast(rows, question));
    expect(high - mid).toBeCloseTo(2.132 * 3.697 * 1.1547, 1);
    expect(mid - low).toBeCloseTo(2.132 * 3.697 * 1.1547, 1);
  });

  it("is forecast in order, and never below what anything can be, whatever was read and wherever it is asked", () => {
    for (let seed = 0; seed < 400; seed++) {
      const random = seededRandom(seed);
      const [roomC, overC] = [random.uniformIn(-30, 30), random.uniformIn(-120, 10)];
      const drawn = Array.from({ length: 1 + random.index(6) }, () =>
        evidenceRow({
          ...{ clockMhz: 4500 + 100 * random.index(10), voltageMv: 1000 + 50 * random.index(8) },
          ambientC: random.uniform() < 0.8 ? roomC : null,
          loadTempC: Math.max(-100, roomC + overC + 15 * random.normal()),
          durationS: [40, 300, 1200][random.index(3)]!,
        }),
      );
      const asked = {
        ...question,
        clockMhz: 1000 + 1000 * random.index(9),
        voltageMv: 700 + 200 * random.index(8),
      };
      const { low, mid, high } = known(loadTempForecast(drawn, asked));
      expect(
        low <= mid && mid <= high && low >= -273.15 && high < 700,
        `${seed}: ${low} ${mid} ${high}`,
      ).toBe(true);
    }
  });
});

describe("lawOfHeatOf", () => {
  it("forecasts for the latest mount where mounts differ", () => {
    const rows = [0, 1, 2, 3, 4].flatMap(() => [
      evidenceRow({ mountId: "first", loadTempC: 73 }),
      evidenceRow({ mountId: "second", loadTempC: 76 }),
    ]);
    const law = lawOfHeatOf(rows);
    if ("unknown" in law) throw new Error(law.unknown);
    expect(law.riseC(4600, 1250, "all-core")).toBeGreaterThan(52);
  });
});
