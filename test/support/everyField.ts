import type { AttemptFieldName } from "../../server/bench/things/attemptFields.ts";

/**
 * One field of an attempt as it goes through every way in and out: how it is sent at first and later, how a person
 * types both, and what no form takes, with a word that the refusal beside it holds.
 */
export type Through = Readonly<{
  first: unknown;
  later: unknown;
  typed: string;
  retyped: string;
  refused: readonly [typed: string, because: string];
}>;

/** Kept to this many characters in a form. */
const tooLong = (characters: number): readonly [string, string] => ["x".repeat(characters + 1), "at most"];

/** For an attempt of `everyChip` under one of two loads. A field without an entry does not compile. */
export const everyField = (load: string, otherLoad: string) =>
  ({
    startedAt: {
      ...{ first: "2031-05-04T12:00:00.000Z", later: "2031-05-04T12:05:00.000Z" },
      ...{ typed: "2031-05-04 12:00", retyped: "2031-05-04 14:05 +02:00", refused: ["yesterday", "time"] },
    },
    workloadId: {
      ...{ first: load, later: otherLoad, typed: load, retyped: otherLoad },
      refused: ["nothing", "name"],
    },
    clockMhz: {
      ...{ first: 4490.125, later: 4500, typed: "4490.125", retyped: "4.5 GHz" },
      refused: ["fast", "number"],
    },
    voltageMv: {
      ...{ first: 1151.5, later: 1162.5, typed: "1.1515", retyped: "1162.5 mV" },
      refused: ["much", "number"],
    },
    outcome: { first: "freeze", later: "died", typed: "freeze", retyped: "died", refused: ["hm", "outcome"] },
    plannedS: { first: 1200, later: 1800, typed: "20", retyped: "30 min", refused: ["long", "minutes"] },
    durationS: { first: 400, later: 410, typed: "400 s", retyped: "6:50", refused: ["long", "minutes"] },
    failedFromS: { first: 300, later: 310, typed: "5", retyped: "310 s", refused: ["long", "minutes"] },
    failedToS: { first: 390, later: 395, typed: "6:30", retyped: "395 s", refused: ["long", "minutes"] },
    ambientC: { first: 21.5, later: 22, typed: "21.5", retyped: "22", refused: ["warm", "number"] },
    loadTempC: { first: 61, later: 62.5, typed: "61", retyped: "62,5", refused: ["warm", "number"] },
    peakTempC: { first: 66, later: 67, typed: "66", retyped: "67 °C", refused: ["warm", "number"] },
    startTempC: { first: 31, later: 32, typed: "31", retyped: "32", refused: ["warm", "number"] },
    supplyTempC: { first: 58, later: 59, typed: "58", retyped: "59", refused: ["warm", "number"] },
    loadVoltageMv: { first: 1120, later: 1125, typed: "1.12", retyped: "1.125", refused: ["low", "number"] },
    voltageReadAt: {
      ...{ first: "chip", later: "probe", typed: "chip", retyped: "probe" },
      refused: ["moon", "one of"],
    },
    loadLine: {
      ...{ first: "level 3", later: "level 4", typed: "level 3", retyped: "level 4" },
      refused: tooLong(120),
    },
    currentA: { first: 96.4, later: 97, typed: "96.4", retyped: "97 A", refused: ["much", "number"] },
    powerW: { first: 125.5, later: 126, typed: "125.5", retyped: "126 W", refused: ["much", "number"] },
    powerAt: {
      ...{ first: "board", later: "wall", typed: "board", retyped: "wall" },
      refused: ["moon", "one of"],
    },
    fanRpm: { first: 1450, later: 1500, typed: "1450", retyped: "1500 rpm", refused: ["fast", "number"] },
    fanMode: {
      ...{ first: "quiet", later: "full", typed: "quiet", retyped: "full" },
      refused: tooLong(120),
    },
    effectiveClockMhz: {
      ...{ first: 4471, later: 4480.5, typed: "4471", retyped: "4480.5" },
      refused: ["fast", "number"],
    },
    throttled: { first: true, later: false, typed: "yes", retyped: "no", refused: null },
    correctedErrors: { first: 12, later: 13, typed: "12", retyped: "13", refused: ["few", "number"] },
    startKind: {
      ...{ first: "cold", later: "warm", typed: "cold", retyped: "warm" },
      refused: ["hot", "one of"],
    },
    clockMode: {
      ...{ first: "boost", later: "fixed", typed: "boost", retyped: "fixed" },
      refused: ["slow", "one of"],
    },
    score: { first: 30.9, later: 31, typed: "30.9", retyped: "31", refused: ["good", "number"] },
    note: {
      ...{ first: "one step up", later: "two steps up", typed: "one step up", retyped: "two steps up" },
      refused: tooLong(10_000),
    },
    tags: {
      ...{ first: ["evening", "quiet"], later: ["evening"], typed: "evening, quiet", retyped: "evening" },
      refused: tooLong(40),
    },
    alsoSet: {
      first: [{ name: "fabric clock", value: 2000, harder: "up" }],
      later: [{ name: "fabric clock", value: "auto", harder: "none" }],
      ...{ typed: "fabric clock = 2000, harder up", retyped: "fabric clock = auto" },
      refused: ["= 2000", "name"],
    },
    aboveCeiling: { first: true, later: null, typed: "", retyped: "", refused: null },
    offset: { first: -22.5, later: -25, typed: "-22.5", retyped: "−25 mV", refused: ["-130", "goes from"] },
    offsets: {
      ...{
        first: { "core 0": -20, "die 1: core 1": -12.5 },
        later: { "core 0": -22.5, "die 1: core 1": -12.5 },
      },
      ...{ typed: "core 0 = -20\ndie 1: core 1 = -12.5", retyped: "core 0: −22.5 mV; die 1: core 1 = -12.5" },
      refused: ["core 7 = -20", "no part"],
    },
    part: {
      ...{ first: "core 0", later: "die 1: core 1", typed: "core 0", retyped: "die 1: core 1" },
      refused: ["core 7", "no part"],
    },
    crashPart: {
      ...{ first: "die 1: core 1", later: "core 0", typed: "die 1: core 1", retyped: "core 0" },
      refused: ["core 7", "no part"],
    },
    knobs: {
      first: { "power-limit": 105, "load-line": "3", supply: { auto: 1.05 }, bus: 100 },
      later: { "power-limit": 110, "load-line": "5", supply: { auto: 1.05 }, bus: "auto" },
      typed: "power-limit = 105\nload-line = 3\nsupply = auto (1.05)\nbus = 100",
      retyped: "power-limit: 110\nload-line: 5\nsupply = auto (1.05)\nbus = auto",
      refused: ["load-line = level 9", "one of"],
    },
    settingReadBack: {
      ...{ first: "confirmed", later: "differs", typed: "confirmed", retyped: "differs" },
      refused: ["perhaps", "one of"],
    },
    freshBoot: { first: true, later: false, typed: "yes", retyped: "no", refused: null },
    training: {
      ...{ first: "full", later: "stored", typed: "full", retyped: "stored" },
      refused: ["half", "one of"],
    },
    starts: {
      ...{ first: { tried: 4, up: 3 }, later: { tried: 10, up: 9 }, typed: "3 of 4", retyped: "9/10" },
      refused: ["5 of 4", "more starts"],
    },
    cycles: { first: 12, later: 13, typed: "12", retyped: "13", refused: ["-1", "at least"] },
    coveragePct: { first: 400, later: 812.5, typed: "400", retyped: "812.5", refused: ["-1", "at least"] },
    errors: {
      first: [{ atS: 61, module: "A2", bit: 17 }, { atS: 720 }],
      later: [{ atS: 61, module: "A2" }],
      ...{ typed: "61 s, module A2, bit 17\n12 min", retyped: "1 min 1 s module A2" },
      refused: ["12 min, bit 9999", "at most"],
    },
    temps: {
      ...{ first: { hotspot: 84, edge: 70.5 }, later: { hotspot: 85, edge: 70.5 } },
      ...{ typed: "hotspot = 84\nedge = 70.5", retyped: "hotspot = 85 °C; edge: 70,5" },
      refused: ["hotspot = 900", "at most"],
    },
    lowestTempC: { first: 29, later: 28.5, typed: "29", retyped: "28.5", refused: ["cold", "number"] },
    correctedErrorsAt: {
      ...{ first: { cache: 10, bus: 2 }, later: { cache: 11, bus: 2 } },
      ...{ typed: "cache = 10\nbus = 2", retyped: "cache = 11\nbus = 2" },
      refused: ["cache = -1", "at least"],
    },
    toldBy: { first: "attendant", later: "tester", typed: "", retyped: "", refused: null },
    loadProved: { first: true, later: false, typed: "", retyped: "", refused: null },
    bootId: { first: "b7", later: "b8", typed: "", retyped: "", refused: null },
  }) as const satisfies Readonly<
    Record<AttemptFieldName, Omit<Through, "refused"> & { refused: Through["refused"] | null }>
  >;

/** What a chip must be for its attempts to have every field said. */
export const everyChip = {
  axis: "offset",
  offset: { name: "Curve offset", unit: "mV", step: 2.5, harder: "down", low: -100, high: 50 },
  parts: [{ name: "core 0" }, { name: "die 1: core 1" }],
  appliedBy: "software",
  limits: { hotspot: 105, edge: 95 },
  voltageCeilingMv: 1150,
  knobs: [
    {
      ...{ id: "power-limit", name: "Power limit", unit: "%", step: 5, harder: "up" },
      ...{ belongs: "context", usual: 100 },
    },
    {
      ...{ id: "load-line", name: "Load-line", harder: "none", belongs: "setting" },
      choices: ["3", "5"],
    },
    { ...{ id: "supply", name: "Board supply", unit: "V", step: 0.05, harder: "none" }, belongs: "setting" },
    { ...{ id: "bus", name: "Bus clock", unit: "MHz", step: 0.5, harder: "window" }, belongs: "setting" },
  ],
};
