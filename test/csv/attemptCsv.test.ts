import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Attempt } from "../../server/bench/things/attempt.ts";
import { draftOf } from "../../server/bench/things/attemptFrom.ts";
import { linesRead } from "../../server/csv/attemptCsv.ts";
import { attemptCsvHeader, attemptCsvLines } from "../../server/csv/attemptCsvText.ts";
import { attemptFileOf, textOf } from "../../server/csv/attemptFile.ts";
import { assertMapping, mappingProposed } from "../../server/csv/attemptMapping.ts";

const id = (n: number) => `0197f000-0000-7000-8000-${String(n).padStart(12, "0")}`;
/** Later than every attempt in these files. */
const now = "2100-01-01T00:00:00.000Z";
const known = {
  workloads: new Map([
    ["stacking", id(1)],
    ["browsing", id(2)],
  ]),
  builds: new Map([["cupboard", id(9)]]),
  buildId: id(8),
};
const readingOf = (text: string, change: object = {}) => {
  const file = attemptFileOf(text);
  const mapping = { ...mappingProposed(file, "UTC"), ...change };
  assertMapping(mapping, file);
  return linesRead(file, mapping, known, now);
};

describe("a file of attempts", () => {
  it("is asked for a zone that there is", () => {
    const table = "Clock (MHz),Voltage (mV),Outcome\n4600,1200,pass";
    expect(() => readingOf(table, { zone: "Europe/Paris" })).not.toThrow();
    expect(() => readingOf(table, { zone: "Attic/Bench" })).toThrow(
      expect.objectContaining({ fields: { zone: "Write a zone like Europe/Paris, or UTC." } }),
    );
  });

  it("is refused where two columns are said to be the same, beside the second", () => {
    const table = "Clock (MHz),Clock (MHz),Voltage (mV),Outcome\n4600,4600,1200,pass";
    const [meaning] = mappingProposed(attemptFileOf(table), "UTC").meanings;
    const rest = [
      { field: "voltageMv", unit: "mV" },
      { field: "outcome", unit: "" },
    ];
    expect(() => readingOf(table, { meanings: [meaning, meaning, ...rest] })).toThrow(
      expect.objectContaining({
        fields: { "column-1": expect.stringMatching(/^Two columns are said to be/) },
      }),
    );
    expect(() => readingOf(table, { meanings: [meaning, null, ...rest] })).not.toThrow();
  });

  it("is not asked for a unit that stands in every cell, nor takes times of day for the chip's clock", () => {
    const meanings = (text: string) => mappingProposed(attemptFileOf(text), "UTC").meanings;
    expect(meanings("o'clock;Clock;Lasted\n15:42;4600;15 min\n15:50;4600;12")).toEqual([
      { field: "startedClock", unit: "" },
      { field: "clockMhz", unit: "MHz" },
      { field: "durationS", unit: "?" },
    ]);
    expect(meanings("Clock;Lasted\n4600;15 min\n4600;1 h\n4600;12")[1]).toEqual({
      field: "durationS",
      unit: "min",
    });
  });

  it("is no log, where it is no text either", () => {
    expect(() => textOf(Buffer.from("010203040506", "hex"))).toThrow(
      "This is not text, so it cannot be read as CSV.",
    );
  });

  it("is read in any order of columns with the units of its header", () => {
    const { good, refused } = readingOf(
      [
        "Result;Time (min);Vcore (V);Room [°F];Clock (GHz);Load;Hottest (°C);When;Remarks",
        "OK;15;1,1875;72,5;4,625;Stacking;83,5;04.05.2031 15:42;first one",
        'blue screen;0,5;1,2;72,5;4,65;stacking;;04.05.2031 16:10;"at once; again"',
      ].join("\r\n"),
    );
    expect(refused).toEqual([]);
    expect(good.map(({ line, draft }) => ({ line, ...draft }))).toMatchObject([
      {
        line: 2,
        outcome: "pass",
        durationS: 900,
        voltageMv: 1187.5,
        ambientC: 22.5,
        clockMhz: 4625,
        workloadId: id(1),
        peakTempC: 83.5,
        startedAt: "2031-05-04T15:42:00.000Z",
        note: "first one",
      },
      {
        line: 3,
        outcome: "system-error",
        durationS: 30,
        voltageMv: 1200,
        clockMhz: 4650,
        note: "at once; again",
      },
    ]);
  });

  it("is read whatever its encoding, below a line of title", () => {
    const text =
      "Bench day\nclock MHz,voltage mV,outcome,duration s,workload,note\n4600,1200,pass,900,Stacking,kühl\n";
    const encodings = [
      Buffer.from(text),
      Buffer.concat([Buffer.from([0xef, 0xbb, 0xbf]), Buffer.from(text)]),
      Buffer.concat([Buffer.from([0xff, 0xfe]), Buffer.from(text, "utf16le")]),
      Buffer.from(text, "latin1"),
    ];
    for (const bytes of encodings) {
      const { good } = readingOf(textOf(bytes));
      expect(good.map(({ line, draft }) => [line, draft.clockMhz, draft.note])).toEqual([[3, 4600, "kühl"]]);
    }
  });

  it("is cut by the separator that places most cells, whatever stands in quotes", () => {
    const { good, refused } = readingOf(
      'clock MHz,voltage V,outcome,duration s,note,tags\r\n4600,1.2,pass,900,"a;b\r\nc;d\r\ne;f",x\r\n',
      { workloadId: id(1) },
    );
    expect(refused).toEqual([]);
    expect(good.map(({ draft }) => draft.clockMhz)).toEqual([4600]);
  });

  it("says of each bad line where it stands in the file and why it is refused", () => {
    const { good, refused } = readingOf(
      [
        "clock MHz,voltage V,outcome,duration s,workload,note",
        "4600,1.2,pass,900,Stacking,",
        "fast,1.2,pass,900,Stacking,",
        "4600,9,pass,900,Stacking,",
        "",
        "4600,1.2,crash,900,Stacking,",
        "4600,1.2,pass,900,Baking,",
        "4600,1.2,pass",
        "4600,1.2,pass,900,Stacking,one,two",
        '4600,1.2,pass,900,Stacking,"never closed',
        "4600,1.2,pass,,Stacking,",
        "4600,1.2,running,,Stacking,",
      ].join("\n"),
    );
    expect(good.map(({ line }) => line)).toEqual([2]);
    expect(refused.filter(({ waits }) => waits).map(({ line }) => line)).toEqual([6, 7]);
    expect(refused.map(({ line, because }) => ({ line, because }))).toEqual([
      { line: 3, because: 'Clock: "fast" cannot be read.' },
      { line: 4, because: "Voltage: The voltage must be at most 3000 mV." },
      { line: 6, because: 'Outcome: say what "crash" means.' },
      { line: 7, because: 'Load: say which one "Baking" is.' },
      { line: 8, because: "The line breaks off after 3 of 6 columns." },
      {
        line: 9,
        because: "The line has 7 columns, the header 6. Does a text with a separator lack its quotes?",
      },
      { line: 10, because: "A quotation mark is opened here and never closed." },
      { line: 11, because: "Say how long it ran, in seconds." },
      { line: 12, because: "An attempt in a file has ended; say how." },
    ]);
  });

  it("follows what the tester has settled for words that could mean several", () => {
    const text = "clock MHz,voltage V,outcome,duration s\n4600,1.2,crash,12\n";
    const { good } = readingOf(text, { outcomes: { crash: "freeze" }, workloadId: id(2) });
    expect(good[0]?.draft).toMatchObject({ outcome: "freeze", workloadId: id(2) });
  });

  it("asks for a unit that neither the header nor the cells tell", () => {
    expect(() => readingOf("clock,voltage,outcome,duration\n4600,1.2,pass,15\n")).toThrow(
      'Say whether "duration" counts seconds, minutes or hours.',
    );
    const clocked = readingOf("clock,voltage,outcome,duration,load\n4.6,1200,pass,0:15:00,Stacking\n");
    expect(clocked.good[0]?.draft).toMatchObject({ clockMhz: 4600, voltageMv: 1200, durationS: 900 });
  });

  it("is refused where no clock, voltage or outcome is named, and where it is no text", () => {
    expect(() => readingOf("voltage V,outcome\n1.2,pass\n")).toThrow("Say which column is the clock.");
    expect(() => readingOf("")).toThrow("The file is empty.");
    expect(() => readingOf("4600\n")).toThrow("No header can be found");
    expect(() => textOf(Buffer.from("504b0304aaaa", "hex"))).toThrow("Save it as CSV text");
  });
});

/** Attempts as the journal keeps them: texts trimmed, clocks to 1 kHz, voltages to 1 µV. */
const thousandths = (low: number, high: number) =>
  fc.integer({ min: low * 1000, max: high * 1000 }).map((n) => n / 1000);
const reading = (low: number, high: number) =>
  fc.option(fc.double({ min: low, max: high, noNaN: true }).map((value) => value || 0));
const words = fc
  .string({ unit: "grapheme", minLength: 1, maxLength: 30 })
  .map((text) => text.replaceAll("\0", "").trim())
  .filter((text) => text !== "");
const awkward = fc.oneof(
  words,
  fc.constantFrom("=1+1", "'quoted'", '5" fan, low', "a;b", "-", "@x", "[1]", "two\r\nlines"),
);

const byName = <Value>(value: fc.Arbitrary<Value>) =>
  fc.dictionary(fc.constantFrom("core 0", "=hot", "a, b", 'say "edge"'), value, { minKeys: 1 });

const attempt: fc.Arbitrary<Attempt> = fc
  .record({
    workloadId: fc.constantFrom(id(1), id(2)),
    clockMhz: thousandths(1, 20_000),
    voltageMv: thousandths(100, 3000),
    outcome: fc.constantFrom("pass", "stopped", "no-start", "freeze", "too-hot", "disturbed"),
    durationS: fc.double({ min: 0, max: 2_592_000, noNaN: true }),
    startedAt: fc.integer({ min: 0, max: 4_000_000_000_000 }).map((ms) => new Date(ms).toISOString()),
    ambientC: reading(-100, 200),
    startTempC: reading(-100, 200),
    supplyTempC: reading(-100, 200),
    loadVoltageMv: fc.option(thousandths(100, 3000)),
    voltageReadAt: fc.option(fc.constantFrom("chip", "board", "probe")),
    loadLine: fc.option(awkward),
    currentA: reading(0, 10_000),
    powerW: reading(0, 5000),
    powerAt: fc.option(fc.constantFrom("chip", "board", "wall")),
    fanRpm: reading(0, 100_000),
    fanMode: fc.option(awkward),
    effectiveClockMhz: fc.option(thousandths(1, 20_000)),
    throttled: fc.option(fc.boolean()),
    correctedErrors: fc.option(fc.integer({ min: 0, max: 1_000_000_000 })),
    startKind: fc.option(fc.constantFrom("cold", "warm", "restart")),
    clockMode: fc.option(fc.constantFrom("fixed", "boost")),
    alsoSet: fc.array(
      fc.record({
        name: awkward,
        value: fc.oneof(fc.integer(), awkward),
        harder: fc.constantFrom("up", "down", "none"),
      }),
      { maxLength: 2 },
    ),
    score: reading(-1e12, 1e12),
    note: fc.oneof(fc.constant(""), awkward),
    tags: fc.array(awkward, { maxLength: 3 }),
    aboveCeiling: fc.boolean(),
    offset: fc.option(thousandths(-200, 200)),
    offsets: fc.option(byName(thousandths(-200, 200))),
    part: fc.option(awkward),
    crashPart: fc.option(awkward),
    knobs: fc.option(byName(fc.oneof(fc.integer({ min: -1e6, max: 1e6 }), awkward))),
    settingReadBack: fc.option(fc.constantFrom("confirmed", "cannot-tell", "differs")),
    freshBoot: fc.option(fc.boolean()),
    training: fc.option(fc.constantFrom("full", "stored", "unknown")),
    starts: fc.option(fc.constant({ tried: 5, up: 4 })),
    cycles: fc.option(fc.nat(1_000_000)),
    coveragePct: reading(0, 1_000_000),
    errors: fc.array(fc.record({ atS: fc.nat(9000), module: awkward, bit: fc.nat(1023) }), { maxLength: 2 }),
    temps: fc.option(byName(fc.integer({ min: -100, max: 200 }))),
    lowestTempC: reading(-100, 200),
    correctedErrorsAt: fc.constant(null),
    toldBy: fc.option(fc.constantFrom("tester", "attendant")),
    loadProved: fc.option(fc.boolean()),
    bootId: fc.option(awkward),
    setAside: fc.option(awkward.map((reason) => ({ reason, at: now }))),
  })
  .map((some) => ({
    ...some,
    id: id(77),
    createdAt: now,
    updatedAt: now,
    version: 1,
    buildId: id(9),
    mountId: id(5),
    loadTempC: null,
    peakTempC: null,
    plannedS: null,
    failedFromS: null,
    failedToS: null,
    asBuilt: {},
  })) as unknown as fc.Arbitrary<Attempt>;

describe("attemptCsvLines(attempts, named)", () => {
  it("writes what reads back as the same attempts, every field", () => {
    const names = new Map([
      [id(1), "Stacking"],
      [id(2), "Browsing"],
    ]);
    fc.assert(
      fc.property(fc.array(attempt, { minLength: 1, maxLength: 4 }), (attempts) => {
        const named = ({ workloadId }: Attempt) => ({
          workload: names.get(workloadId) ?? "",
          build: "Cupboard",
        });
        const { good, refused } = readingOf(
          [attemptCsvHeader(), ...attemptCsvLines(attempts, named)].join(""),
        );
        expect(refused).toEqual([]);
        const back = good.map(({ draft, setAsideReason, ownId, buildId }) => ({
          draft,
          setAsideReason,
          ownId,
          buildId,
        }));
        const sent = attempts.map((one) => ({
          draft: draftOf(one),
          setAsideReason: one.setAside?.reason ?? null,
          ownId: one.id,
          buildId: one.buildId,
        }));
        expect(back.map(asKept)).toEqual(sent.map(asKept));
      }),
      { numRuns: 300 },
    );
  });

  it("ends lines with CRLF and quotes only where it must", () => {
    const [one] = fc.sample(attempt, { numRuns: 1, seed: 7 });
    const text = [
      attemptCsvHeader(),
      ...attemptCsvLines([{ ...(one as Attempt), note: 'say "ok", twice' }], () => ({
        workload: "=x",
        build: "b",
      })),
    ];
    expect(text.every((line) => line.endsWith("\r\n"))).toBe(true);
    expect(text[1]).toContain(',"say ""ok"", twice",');
    expect(text[1]).toContain(",'=x,");
  });
});

/** Left out and null, false and null are the same to the journal; so are a list left out and an empty one. */
function asKept({ draft, ...rest }: { draft: object }): object {
  const plain = Object.entries(draft).filter(
    ([, value]) =>
      value !== null && value !== undefined && value !== "" && !(Array.isArray(value) && value.length === 0),
  );
  const aboveCeiling = (draft as { aboveCeiling?: boolean }).aboveCeiling === true;
  return { ...rest, draft: { ...Object.fromEntries(plain), aboveCeiling } };
}
