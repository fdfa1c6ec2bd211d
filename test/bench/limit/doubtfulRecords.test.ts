import { describe, expect, it } from "vitest";
import { excusedBy } from "../../../server/bench/limit/doubtfulRecords.ts";
import type { LimitRecord } from "../../../server/bench/limit/limitEvidence.ts";
import type { LimitFit } from "../../../server/bench/limit/limitFit.ts";

type Record = Readonly<{ mhz: number; mv?: number; failed?: boolean; build?: number; doubt?: number }>;

/** A fit of one draw whose doubt of each record is given. */
function fitOf(records: readonly Record[]): LimitFit {
  return {
    records: records.map(({ mhz, mv = 1200, failed = true, build = 0 }) => ({
      attemptIds: [`${mhz} at ${mv}`],
      clockMhz: mhz,
      voltageMv: mv,
      failed,
      build,
    })) as unknown as readonly LimitRecord[],
    draws: { count: 1, weights: [1], points: new Float64Array(1), dimension: 1 },
    model: {
      wrongChances: (_: unknown, chances: Float64Array) =>
        chances.set(records.map(({ doubt = 0.1 }) => doubt)),
    },
  } as unknown as LimitFit;
}

const doubted = { mhz: 4600, doubt: 0.8 };
const excused = (...others: readonly Record[]): boolean =>
  excusedBy(fitOf([doubted, ...others])).has("4600 at 1200");

describe("excusedBy(fit)", () => {
  it("excuses what is doubted over one half, and nothing else", () => {
    expect(excused()).toBe(true);
    expect([...excusedBy(fitOf([{ mhz: 4600, doubt: 0.5 }]))]).toEqual([]);
  });

  it("lets a failure stand that another seconds, no harder and within a hundredth of its clock and voltage", () => {
    expect([4600, 4560, 4555].map((mhz) => excused({ mhz, mv: 1205 }))).toEqual([false, false, false]);
    expect([4625, 4540].map((mhz) => excused({ mhz }))).toEqual([true, true]);
    expect([1210, 1220, 1195].map((mv) => excused({ mhz: 4590, mv }))).toEqual([false, true, true]);
  });

  it("takes no pass, and no failure of another build, for a second one", () => {
    expect(excused({ mhz: 4600, mv: 1201, failed: false })).toBe(true);
    expect(excused({ mhz: 4600, mv: 1201, build: 1 }, { mhz: 4700, failed: false })).toBe(true);
  });

  it("does not excuse by what other builds showed, until a pass of this one was as hard", () => {
    expect(excused({ mhz: 4700, failed: false, build: 1 })).toBe(false);
    expect(excused({ mhz: 4700, failed: false, build: 1 }, { mhz: 4650, failed: false })).toBe(true);
    expect(excused({ mhz: 4700, failed: false, build: 1 }, { mhz: 4550, failed: false })).toBe(false);
  });
});
