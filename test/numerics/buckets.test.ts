import { describe, expect, it } from "vitest";
import { bucketsOf, mergedBuckets } from "../../server/numerics/buckets.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";

/** The obvious way: look at every value again for every bucket. */
function slowBucket(values: Float64Array, from: number, to: number) {
  const seen = [...values.subarray(from, to)].filter((value) => !Number.isNaN(value));
  if (seen.length === 0) return { min: Number.NaN, max: Number.NaN, mean: Number.NaN, count: 0 };
  const mean = seen.reduce((sum, value) => sum + value, 0) / seen.length;
  return { min: Math.min(...seen), max: Math.max(...seen), mean, count: seen.length };
}

function randomValues(seed: number, length: number): Float64Array {
  const random = seededRandom(seed);
  return Float64Array.from({ length }, () =>
    random.uniform() < 0.1 ? Number.NaN : 60 + 5 * random.normal(),
  );
}

describe("bucketsOf", () => {
  it("keeps every extreme, whatever the length and the size", () => {
    for (let seed = 1; seed <= 60; seed += 1) {
      const random = seededRandom(seed * 7);
      const values = randomValues(seed, random.index(700));
      const size = 1 + random.index(300);
      const buckets = bucketsOf(values, size);
      expect(buckets.count.length).toBe(Math.ceil(values.length / size));
      buckets.count.forEach((count, at) => {
        const slow = slowBucket(values, at * size, (at + 1) * size);
        expect([buckets.min[at], buckets.max[at], count]).toEqual([slow.min, slow.max, slow.count]);
        if (count > 0) expect(buckets.mean[at]).toBeCloseTo(slow.mean, 10);
      });
    }
  });

  it("holds no extreme where every value is missing", () => {
    const buckets = bucketsOf(Float64Array.of(Number.NaN, Number.NaN, 3), 2);
    expect([...buckets.min]).toEqual([Number.NaN, 3]);
    expect([...buckets.count]).toEqual([0, 1]);
  });

  it("keeps the digits of a mean far from zero", () => {
    const buckets = bucketsOf(
      Float64Array.from({ length: 1001 }, (_, at) => 1e12 + (at % 2)),
      1001,
    );
    expect((buckets.mean[0] ?? 0) - 1e12).toBeCloseTo(500 / 1001, 3);
  });
});

describe("mergedBuckets", () => {
  it("gives what wider buckets over the values give", () => {
    for (let seed = 1; seed <= 40; seed += 1) {
      const values = randomValues(seed, 1 + seededRandom(seed).index(2000));
      const merged = mergedBuckets(bucketsOf(values, 16), 16);
      const direct = bucketsOf(values, 256);
      expect(merged.min).toEqual(direct.min);
      expect(merged.max).toEqual(direct.max);
      expect(merged.count).toEqual(direct.count);
      merged.mean.forEach((mean, at) => {
        if (!Number.isNaN(mean)) expect(mean).toBeCloseTo(direct.mean[at] ?? 0, 9);
      });
    }
  });
});
