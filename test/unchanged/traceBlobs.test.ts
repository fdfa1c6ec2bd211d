import { expect, it } from "vitest";
import { type Buckets, bucketsOf } from "../../server/numerics/buckets.ts";
import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";
import { bucketsIn, columnsIn, leastIn, overviewBlob } from "../../server/store/traces/overviewBlob.ts";
import { countIn, packed, unpackInto } from "../../server/store/traces/traceBlob.ts";
import { oneOf } from "./chosen.ts";
import { printOf, telling } from "./telling.ts";

type Drawn = (length: number, random: SeededRandom) => readonly number[];

/** Steps whose differences take exactly so many bits, on a way that stays near its start. */
const stepsOfBits =
  (bits: number): Drawn =>
  (length, random) => {
    const range = 2 ** bits - 1;
    let at = 0;
    return Array.from({ length }, (_, i) => {
      if (i === 0) return at;
      const step = i === 1 ? range : i === 2 ? 0 : Math.floor(random.uniform() * (range + 1));
      at += at > range ? step - range : step;
      return at;
    });
  };

/** Whole numbers, which decimal places are then put into. */
const shapes: Readonly<Record<string, Drawn>> = {
  constant: (length) => new Array(length).fill(615),
  "constant below zero": (length) => new Array(length).fill(-615),
  "one step": (length) => Array.from({ length }, (_, i) => (2 * i < length ? 40 : 41)),
  ramp: (length) => Array.from({ length }, (_, i) => 3 * i - 700),
  flags: (length, random) => Array.from({ length }, () => random.index(2)),
  "walk around zero": (length, random) => {
    let at = 0;
    return Array.from({ length }, () => (at += random.index(7) - 3));
  },
  ...Object.fromEntries(
    [3, 8, 15, 16, 17, 29, 30, 31, 32].map((bits) => [`steps of ${bits} bits`, stepsOfBits(bits)]),
  ),
};

/** What stands at either side of a bound, between plain values. */
const bounds: Readonly<Record<string, readonly number[]>> = {
  "30 bits less one": [0, 2 ** 30 - 1, 5],
  "30 bits": [0, 2 ** 30, 5],
  "30 bits below zero, less one": [0, -(2 ** 30) + 1, 5],
  "30 bits below zero": [0, -(2 ** 30), 5],
  "31 bits": [3, 2 ** 31 - 1, 7],
  "31 bits and one": [3, 2 ** 31, 7],
  "a step up of 31 bits less one": [1e10, 1e10 + 2 ** 31 - 1, 1e10 + 2 ** 31 - 1],
  "a step up of 31 bits": [1e10, 1e10 + 2 ** 31, 1e10 + 2 ** 31],
  "a step down of 31 bits": [1e10, 1e10 - 2 ** 31, 1e10 - 2 ** 31],
  "a step down of 31 bits and one": [1e10, 1e10 - 2 ** 31 - 1, 1e10],
  "every step up of 31 bits less one": [1e10, 1e10 + 2 ** 31 - 1, 1e10 + 2 ** 32 - 2],
  "every step up of 31 bits": [1e10, 1e10 + 2 ** 31, 1e10 + 2 ** 32],
  "every step down of 31 bits": [1e10, 1e10 - 2 ** 31, 1e10 - 2 ** 32],
  "every step down of 31 bits and one": [1e10, 1e10 - 2 ** 31 - 1, 1e10 - 2 ** 32 - 2],
  "steps of 32 bits between them": [1e10, 1e10 + 2 ** 31 - 1, 1e10 - 1],
  "steps of 32 bits and one between them": [1e10, 1e10 + 2 ** 31 - 1, 1e10 - 2],
  "the largest whole number that is sure": [Number.MAX_SAFE_INTEGER, Number.MAX_SAFE_INTEGER - 3],
  "one beyond it": [Number.MAX_SAFE_INTEGER + 1, Number.MAX_SAFE_INTEGER - 3],
  "nine places": [0.000000001, 0.5, 0.123456789],
  "ten places": [0.0000000001, 0.5],
  thirds: [1 / 3, 2 / 3, 1],
  "one third among tenths": [0.1, 0.2, 1 / 3, 0.4],
  "without end": [1, Number.POSITIVE_INFINITY, 2],
  "without end below": [Number.NEGATIVE_INFINITY, 1],
  "minus zero": [-0, 1, -0],
  halves: [-0.5, 0.5, -1.5, 2.5],
  "very small and very large": [1e-300, 1e300, -1e300],
  "one value": [21.5],
  none: [],
};

const gaps: Readonly<Record<string, (at: number, length: number, random: SeededRandom) => boolean>> = {
  none: () => false,
  "the first": (at) => at === 0,
  "the last": (at, length) => at === length - 1,
  "the first forty": (at) => at < 40,
  "in the middle": (at, length) => at > length / 3 && at < length / 2,
  "a fifth": (_, __, random) => random.uniform() < 0.2,
  "all but one": (at, length) => at !== length >> 1,
  all: () => true,
};

const lengths = [1, 2, 31, 32, 33, 64, 65, 255, 256, 257, 258, 512, 513, 514, 769];

function valuesOf(drawn: readonly number[], places: number, isGap: (at: number) => boolean): Float64Array {
  return Float64Array.from(drawn, (whole, at) => (isGap(at) ? Number.NaN : whole / 10 ** places));
}

/** How a chunk is kept, and what comes back of it, laid as it is and off the multiples of eight. */
function keptAs(values: Float64Array, hint: number): string {
  const { blob, decimals } = packed(values, values.length, hint);
  const shifted = Buffer.concat([Buffer.from([0]), blob]).subarray(1);
  const into = new Float64Array(values.length + 3).fill(-7);
  const count = unpackInto(blob, into, 1);
  const again = new Float64Array(values.length + 3).fill(-7);
  unpackInto(shifted, again, 1);
  const back = into.slice(1, values.length + 1);
  const isSame = values.every(
    (value, at) => value === back[at] || (Number.isNaN(value) && Number.isNaN(back[at])),
  );
  const whole = isSame && printOf(into) === printOf(again) && count === countIn(shifted);
  const head = [...blob.subarray(4, 8)].join(" ");
  return `${blob.length} ${printOf(blob)} ${decimals} ${whole ? "" : "NOT "}whole ${printOf(into)} ${head}`;
}

it("chunks of values of every kind are kept as before, and come back", async () => {
  const { tell, told } = telling();
  const random = seededRandom(61);
  for (const [name, drawn] of Object.entries(shapes))
    for (let n = 0; n < 8; n += 1) {
      const length = oneOf(random, lengths);
      const places = n < 2 ? 0 : random.index(11);
      const [gap, isGap] = n < 3 ? ["none", gaps.none!] : oneOf(random, Object.entries(gaps));
      const hint = oneOf(random, [0, 0, places, 2, 9, 12]);
      const values = valuesOf(drawn(length, random), places, (at) => isGap(at, length, random));
      const asked = `${length} of ${name}, ${places} places, missing ${gap}, from ${hint}`;
      tell(asked, () => keptAs(values, hint));
    }
  for (const [name, some] of Object.entries(bounds))
    for (const places of [0, 1])
      tell(`${name}, ${places} places`, () =>
        keptAs(
          valuesOf(some, places, () => false),
          0,
        ),
      );
  for (const name of ["30 bits", "31 bits", "steps of 32 bits between them", "thirds", "ten places"])
    tell(`${name}, missing the first and the last`, () =>
      keptAs(Float64Array.of(Number.NaN, ...bounds[name]!, Number.NaN), 0),
    );
  for (const length of [4095, 4096, 4097, 65_535, 65_536, 65_537])
    for (const [name, each] of [
      ["plain", (at: number) => at / 7],
      ["tenths", (at: number) => ((at * at) % 977) / 10],
      ["wide", (at: number) => 1e12 + ((at * 7919) % 4_000_037)],
      ["with gaps", (at: number) => (at % 3 ? at : Number.NaN)],
      ["of 32 bits, with gaps", (at: number) => (at % 5 ? 1e10 + (at % 2) * (2 ** 31 - 1) : Number.NaN)],
    ] as const)
      tell(`${length} ${name}`, () =>
        keptAs(
          Float64Array.from({ length }, (_, at) => each(at)),
          0,
        ),
      );
  await expect(told()).toMatchFileSnapshot("answers/traceBlobs.txt");
});

it("spoilt chunks and overviews are refused, or read, as before", async () => {
  const { tell, told } = telling();
  const random = seededRandom(62);
  const wholes = {
    packed: packed(
      Float64Array.from({ length: 300 }, (_, at) => (at % 7 ? at / 10 : Number.NaN)),
      300,
    ).blob,
    wide: packed(
      Float64Array.from({ length: 40 }, (_, at) => 1e11 + at * at),
      40,
    ).blob,
    plain: packed(Float64Array.of(1 / 3, 2, 3), 3).blob,
    empty: packed(Float64Array.of(Number.NaN, Number.NaN), 2).blob,
  };
  const read = (blob: Buffer) => {
    const into = new Float64Array(320).fill(-7);
    return `${unpackInto(blob, into, 2)} ${printOf(into)}`;
  };
  for (const [name, blob] of Object.entries(wholes)) {
    const spoilt = (at: number, by: number) => {
      const other = Buffer.from(blob);
      other[at] = (other[at] ?? 0) ^ by;
      return other;
    };
    for (let at = 0; at < 24; at += 1)
      tell(`${name}, byte ${at} changed`, () => read(spoilt(at, 1 << (at % 7))));
    tell(`${name}, another byte changed`, () => read(spoilt(24 + random.index(blob.length - 24), 1)));
    for (const length of [0, 3, 23, 24, 25, blob.length - 4, blob.length - 1])
      tell(`${name}, cut to ${length}`, () => read(blob.subarray(0, length)));
    tell(`${name}, longer by four`, () => read(Buffer.concat([blob, Buffer.alloc(4)])));
  }
  const overview = overviewBlob(bucketsOf(Float64Array.of(1, 2.5, 3, 4, 5), 2), 5, 2);
  for (const at of [0, 1, 2, 3, 5, 12, 16]) {
    const other = Buffer.from(overview);
    other[at] = (other[at] ?? 0) ^ 2;
    for (const [name, look] of Object.entries(looks))
      tell(`${name}, byte ${at} of an overview changed`, () => look(other, 0, 9));
  }
  for (const length of [0, 23, 24])
    for (const [name, look] of Object.entries(looks))
      tell(`${name}, an overview cut to ${length}`, () => look(overview.subarray(0, length), 0, 9));
  await expect(told()).toMatchFileSnapshot("answers/spoiltBlobs.txt");
});

const columnsTold = ({ min, max, mean }: Omit<Buckets, "count">): string =>
  `${min.length} ${printOf(min, max, mean)}`;

const looks: Readonly<Record<string, (blob: Buffer, from: number, to: number) => string>> = {
  buckets: (blob, from, to) => {
    const buckets = bucketsIn(blob, from, to);
    return `${columnsTold(buckets)} ${printOf(buckets.count)}`;
  },
  columns: (blob, from, to) => columnsTold(columnsIn(blob, from, to)),
  least: (blob, from, to) => printOf(leastIn(blob, from, to)),
};

it("overviews of values of every kind are kept as before, and read between any two places", async () => {
  const { tell, told } = telling();
  const random = seededRandom(63);
  const extremes = [2 ** 31 - 1, 2 ** 31, -(2 ** 31) + 1, -(2 ** 31)];
  for (let n = 0; n < 70; n += 1) {
    const size = oneOf(random, [1, 2, 4, 256]);
    const rows = n < 3 ? n : oneOf(random, [1, 2, 3, 4, 5, 7, 8, 9, 255, 256, 257, 511, 512, 513]);
    const places = random.index(9);
    const [gap, isGap] = n % 3 ? ["none", gaps.none!] : oneOf(random, Object.entries(gaps));
    const shape = oneOf(random, [
      "constant",
      "constant below zero",
      "ramp",
      "flags",
      "walk around zero",
      "steps of 8 bits",
    ]);
    const values = valuesOf(shapes[shape]!(rows, random), places, (at) => isGap(at, rows, random));
    const wild =
      random.index(4) === 0 && rows > 0 ? oneOf(random, [...extremes, 1 / 3, 1e-7, 1e-6, 1e300]) : null;
    if (wild !== null) values[random.index(rows)] = wild;
    const blob = overviewBlob(bucketsOf(values, size), rows, size);
    const laid = Buffer.concat([Buffer.alloc(3), blob]).subarray(3);
    const [from, to] = [random.index(5), random.index(6)];
    const asked = `${rows} of ${shape} by ${size}, ${places} places, missing ${gap}${wild === null ? "" : `, ${wild} in it`}`;
    tell(`${asked}`, () => `${blob.length} ${printOf(blob)} ${[...blob.subarray(4, 8)].join(" ")}`);
    const looked = (as: Buffer, start: number, end: number) =>
      Object.values(looks).map((look) => look(as, start, end));
    tell(`  from ${from} to ${to}, and all`, () =>
      [
        ...looked(blob, from, to),
        printOf(Buffer.from(looked(oneOf(random, [blob, laid]), 0, 1e9).join())),
      ].join(" "),
    );
  }
  await expect(told()).toMatchFileSnapshot("answers/overviews.txt");
});
