import { describe, expect, it } from "vitest";
import { bucketsOf } from "../../../server/numerics/buckets.ts";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import { bucketsIn, overviewBlob } from "../../../server/store/traces/overviewBlob.ts";
import { countIn, packed, unpackInto } from "../../../server/store/traces/traceBlob.ts";

function unpacked(blob: Buffer, length: number): Float64Array {
  const values = new Float64Array(length + 2).fill(-7);
  expect(unpackInto(blob, values, 1)).toBe(length);
  expect([values[0], values[length + 1]]).toEqual([-7, -7]);
  return values.slice(1, length + 1);
}

/** Makers of values of every kind a sensor or a mistake can send. */
const makers: Readonly<Record<string, (random: ReturnType<typeof seededRandom>) => number>> = {
  "whole degrees": (random) => Math.round(60 + 5 * random.normal()),
  "eighths of a degree": (random) => Math.round(480 + 40 * random.normal()) / 8,
  "one decimal with gaps": (random) =>
    random.uniform() < 0.2 ? Number.NaN : Number((60 + 5 * random.normal()).toFixed(1)),
  "three decimals around zero": (random) => Number((random.normal() * 2).toFixed(3)),
  "large whole numbers": (random) => Math.round(1e12 * random.uniform()),
  "milliseconds since 1970": (random) => 1.9e12 + random.index(1e6),
  "no decimals at all": (random) => random.normal() / 3,
  infinities: (random) => (random.uniform() < 0.1 ? Number.POSITIVE_INFINITY : random.normal()),
  "wild sizes": (random) => random.normal() * 10 ** (random.index(600) - 300),
  "all of 30 bits": (random) => Math.round((random.uniform() * 2 - 1) * 2 ** 31),
};

describe("packed", () => {
  it.each([
    [2 ** 31 - 1],
    [2 ** 31],
    [2 ** 31 + 1],
    [-(2 ** 31)],
    [-(2 ** 31) - 1],
    [-(2 ** 31), 2 ** 31 - 1],
    [-(2 ** 31), 2 ** 31],
    [-(2 ** 30), 3 * 2 ** 30 - 1],
    [-(2 ** 30), 3 * 2 ** 30],
  ])("brings back steps that just fit a word, and those that just do not: %d and %d", (...steps) => {
    let at = 5;
    const values = Float64Array.from([at, ...steps.map((step) => (at += step))]);
    expect(unpacked(packed(values, values.length).blob, values.length)).toEqual(values);
  });

  for (const [kind, maker] of Object.entries(makers)) {
    it(`comes back bit for bit: ${kind}`, () => {
      for (let seed = 1; seed <= 40; seed += 1) {
        const random = seededRandom(seed);
        const length = 1 + random.index(seed % 4 === 0 ? 5000 : 600);
        const values = Float64Array.from({ length }, () => maker(random));
        values.forEach((value, at) => {
          if (Object.is(value, -0)) values[at] = 0;
        });
        const start = random.index(4);
        expect(unpacked(packed(values, length, start).blob, length)).toEqual(values);
      }
    });
  }

  it("comes back when every value is missing, when one is there, and at every length around a block", () => {
    for (const length of [1, 2, 31, 32, 33, 255, 256, 257, 258, 512, 513, 514, 4096]) {
      const missing = new Float64Array(length).fill(Number.NaN);
      expect(unpacked(packed(missing, length).blob, length)).toEqual(missing);
      missing[length - 1] = 61.5;
      expect(unpacked(packed(missing, length).blob, length)).toEqual(missing);
      const ramp = Float64Array.from({ length }, (_, at) => at / 10);
      expect(unpacked(packed(ramp, length).blob, length)).toEqual(ramp);
    }
  });

  it("gives minus zero back as zero", () => {
    expect(Object.is(unpacked(packed(Float64Array.of(-0), 1).blob, 1)[0], 0)).toBe(true);
  });

  it("takes a fraction of the room of doubles for a sensor that moves slowly", () => {
    const random = seededRandom(5);
    let level = 600;
    const values = Float64Array.from({ length: 4096 }, () => {
      level += random.index(3) - 1;
      return level / 10;
    });
    expect(packed(values, 4096).blob.length).toBeLessThan(4096 * 8 * 0.06);
  });

  it("lays a chunk out as it lies in journals that are kept already, and reads those", () => {
    const values = Float64Array.of(61.25, 61.5, Number.NaN, 61.25);
    const [head, first] = ["52425401" + "01020300" + "04000000" + "04000000", "0000000000edb740"];
    const [present, width, least, overs] = ["0b000000", "06000000", "e7ffffff", "72060000"];
    const kept = Buffer.from([head, first, present, width, least, overs].join(""), "hex");
    expect(packed(values, 4).blob.toString("hex")).toBe(kept.toString("hex"));
    expect(unpacked(kept, 4)).toEqual(values);
  });

  it("packs numbers of more than 30 bits as well as small ones", () => {
    const random = seededRandom(6);
    for (const first of [600, 6e11]) {
      const values = Float64Array.from({ length: 4096 }, (_, at) => (first + 20 * at + random.index(4)) / 10);
      expect(packed(values, 4096).blob.length).toBeLessThan(4096);
    }
  });

  it("reads a chunk that lies anywhere in a larger buffer", () => {
    const values = Float64Array.from({ length: 300 }, (_, at) => Math.sin(at));
    const { blob } = packed(values, 300);
    const larger = Buffer.alloc(blob.length + 3);
    larger.set(blob, 3);
    expect(unpacked(larger.subarray(3), 300)).toEqual(values);
  });

  it("refuses a chunk that is cut or not ours", () => {
    const { blob } = packed(Float64Array.of(1, 2, 3), 3);
    const into = new Float64Array(3);
    expect(() => unpackInto(blob.subarray(0, blob.length - 4), into, 0)).toThrow("cut");
    expect(() => unpackInto(Buffer.from("something else altogether"), into, 0)).toThrow("not one");
    blob[3] = 9;
    expect(() => unpackInto(blob, into, 0)).toThrow("not one");
  });

  it("refuses a chunk that says it holds more values than a chunk may, and does not look for them", () => {
    const { blob } = packed(Float64Array.of(1, Number.NaN, 3), 3);
    blob.writeUInt32LE(65_536, 8);
    expect(countIn(blob)).toBe(65_536);
    blob.writeUInt32LE(65_537, 8);
    expect(() => unpackInto(blob, new Float64Array(3), 0)).toThrow("more than one may");
  });
});

describe("overviewBlob", () => {
  for (const [kind, maker] of Object.entries(makers)) {
    it(`gives the buckets back: ${kind}`, () => {
      for (let seed = 1; seed <= 20; seed += 1) {
        const random = seededRandom(seed);
        const rows = 1 + random.index(3000);
        const buckets = bucketsOf(
          Float64Array.from({ length: rows }, () => maker(random)),
          256,
        );
        const blob = overviewBlob(buckets, rows, 256);
        expect(bucketsIn(blob)).toEqual(buckets);
        const length = buckets.count.length;
        const part = bucketsIn(blob, Math.floor(length / 2), length);
        expect(part.max).toEqual(buckets.max.slice(Math.floor(length / 2)));
        expect(part.count).toEqual(buckets.count.slice(Math.floor(length / 2)));
      }
    });
  }
});
