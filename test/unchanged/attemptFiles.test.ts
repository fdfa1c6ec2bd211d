import { expect, it } from "vitest";
import type { Attempt, AttemptDraft } from "../../server/bench/things/attempt.ts";
import { attemptFrom } from "../../server/bench/things/attemptFrom.ts";
import type { Block, TableBlock } from "../../server/bench/writeUp/block.ts";
import { linesRead } from "../../server/csv/attemptCsv.ts";
import {
  attemptCsvHeader,
  attemptCsvLines,
  notHandedOver,
  notReadLine,
} from "../../server/csv/attemptCsvText.ts";
import { type AttemptFile, attemptFileOf, textOf } from "../../server/csv/attemptFile.ts";
import { attemptFileGlimpse, cellsOfLines } from "../../server/csv/attemptFileGlimpse.ts";
import {
  type AttemptMapping,
  assertMapping,
  mappingProposed,
  mappingRemembered,
} from "../../server/csv/attemptMapping.ts";
import { type ChoicesTyped, mappingTyped, meaningWritten } from "../../server/csv/attemptMappingTyped.ts";
import { documentReader } from "../../server/csv/documentReader.ts";
import { samplesFromCsv, samplesFromNdjson } from "../../server/csv/sampleLines.ts";
import { columnsCsv, tableCsv } from "../../server/csv/tableCsv.ts";
import { writeUpMarkdown } from "../../server/csv/writeUpMarkdown.ts";
import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";
import { oneOf } from "./chosen.ts";
import { toldOf } from "./told.ts";
import { printOf, refusalTold } from "./toldLog.ts";

const id = (n: number) => `0197f000-0000-7000-8000-${String(n).padStart(12, "0")}`;
const now = "2031-05-05T12:00:00.000Z";
const known = {
  workloads: new Map([
    ["stacking", id(1)],
    ["light, by hand", id(2)],
  ]),
  builds: new Map([["shelf", id(9)]]),
  buildId: id(8),
};

type Chip = Parameters<typeof assertMapping>[2];
type Asked = Readonly<{ zone?: string; typed?: ChoicesTyped; change?: Partial<AttemptMapping>; chip?: Chip }>;

/** What a file of attempts comes to: its columns, what is asked of them, and each line as an attempt or why it is none. */
function toldFile(
  text: string | Buffer,
  { zone = "UTC", typed = {}, change = {}, chip }: Asked = {},
): string {
  const told: string[] = [];
  try {
    const file = attemptFileOf(typeof text === "string" ? text : textOf(text));
    const mapping = { ...mappingTyped(typed, file, mappingProposed(file, zone)), ...change };
    told.push(...shapeTold(file, mapping));
    assertMapping(mapping, file, chip);
    told.push(...linesTold(file, mapping));
  } catch (error) {
    told.push(refusalTold(error));
  }
  return told.join("\n");
}

function shapeTold(file: AttemptFile, mapping: AttemptMapping): readonly string[] {
  const { separator, decimal, names, headerAt, columns } = file.shape;
  const { outcomeWords, workloadWords, workloadsUnnamed, columns: seen } = attemptFileGlimpse(file, mapping);
  const meant = mapping.meanings.map((meaning, at) => `${names[at]}=${meaningWritten(meaning) || "nothing"}`);
  return [
    `  ${JSON.stringify(separator)} and "${decimal}", header on ${headerAt}, ${file.lines} lines, ${mapping.dayFirst ? "days" : "months"} first, ${mapping.zone}`,
    `  ${meant.slice(0, 40).join("; ")}`,
    `  ${columns
      .map(({ kind }, at) => `${kind} ${seen[at]?.samples.join("/").slice(0, 30)}`)
      .slice(0, 12)
      .join("; ")}`,
    `  to settle: ${[...outcomeWords, ...workloadWords.map((word) => `load ${word}`)].join(", ").slice(0, 200)}${workloadsUnnamed ? ", no load named" : ""}; ${Object.entries({ ...mapping.outcomes, ...mapping.workloads }).join(" ")}`,
  ];
}

function linesTold(file: AttemptFile, mapping: AttemptMapping): readonly string[] {
  const { good, refused } = linesRead(file, mapping, known, now);
  const places = new Set(refused.map(({ line }) => line));
  const shown = [...cellsOfLines(file, places)].map(([line, cells]) => `${line}:${cells.length}`).join(" ");
  const drafts = good.map(({ line, buildId, draft, setAsideReason, ownId }) => {
    const said = Object.entries(draft).filter(([, value]) => value !== null && value !== undefined);
    return `  ${line} ${said.map(([name, value]) => `${name} ${typeof value === "string" ? value.replace("0197f000-0000-7000-8000-00000000000", "~") : JSON.stringify(value)}`).join(", ")} | ${buildId.slice(-1)} ${setAsideReason ?? ""} ${ownId?.slice(-1) ?? ""}`;
  });
  return [
    ...drafts.slice(0, 2),
    ...(drafts.length > 2 ? [`  and ${drafts.length - 2} more, ${printOf(drafts)}`] : []),
    ...refused.slice(0, 4).map(({ line, because, waits }) => `  ${line}${waits ? " waits" : ""}: ${because}`),
    ...(refused.length > 4
      ? [`  and ${refused.length - 4} more, ${printOf(refused.map(({ because }) => because))}`]
      : []),
    ...(shown === "" ? [] : [`  shown again, by cells: ${shown.slice(0, 60)}`]),
  ];
}

type Column = readonly [heads: readonly string[], cells: readonly string[]];

const columns: readonly Column[] = [
  [
    ["Clock (MHz)", "clockMhz", "Frequency MHz", "Core clock"],
    ["4600", "4625", "4650.5", "fast", "4.7 GHz"],
  ],
  [
    ["Clock (GHz)", "Freq", "Takt clock [GHz]"],
    ["4.6", "4,65", "4.7", ""],
  ],
  [
    ["Voltage (mV)", "voltageMv", "Vcore"],
    ["1200", "1187.5", "1,225", "1.2 V"],
  ],
  [
    ["Vcore (V)", "Volt", "voltage [V]"],
    ["1.2", "1,1875", "1.2125", "0"],
  ],
  [
    ["Result", "outcome", "How it ended"],
    ["ok", "pass", "froze", "blue screen", "crash", "hm, no", "no post", "reboot", ""],
  ],
  [
    ["Time (min)", "Duration", "durationS", "lasted hours", "Ran"],
    ["15", "0,5", "1 h", "7:30", "20:00", "long", "90 s"],
  ],
  [
    ["Load", "workload", "Test"],
    ["Stacking", "stacking ", "light, by hand", "Mixing", ""],
  ],
  [
    ["When", "startedAt", "Start"],
    [
      "2031-05-04 15:42",
      "04.05.2031 15:42",
      "5/4/2031 3:42 pm",
      "2031-05-04T15:42:00Z",
      "2031-05-04 15:42 UTC",
      "soon",
      "2031-05-09 10:00",
    ],
  ],
  [
    ["Date", "Day"],
    ["2031-05-04", "4.5.2031", "13/4/2031", "4/13/2031", "5/4/2031"],
  ],
  [
    ["Time", "o'clock"],
    ["15:42", "3:42 pm", "15:42:10", "25:00"],
  ],
  [
    ["Room [°F]", "ambientC", "Room", "Intake (K)"],
    ["72.5", "21", "22,5", "-400"],
  ],
  [
    ["Temp", "Hottest", "Load temp (°C)", "Max °C"],
    ["80", "83,5", "81 °C", "176°F"],
  ],
  [
    ["Power (W)", "powerW", "Watts"],
    ["140", "0.14 kW", "-3", "140,5"],
  ],
  [
    ["Remarks", "note", "Comment"],
    ["first one", "'=1+1", 'a "quoted" word', "with; a, sign", "", "two\nlines"],
  ],
  [["Tags"], ["evening; new paste", "one", '["a;b"]', ""]],
  [
    ["Throttled?", "throttled"],
    ["yes", "no", "x", "-", "1", "perhaps"],
  ],
  [
    ["Build", "Rig"],
    ["shelf", "Shelf", "attic", ""],
  ],
  [["id"], [id(5), "7", ""]],
  [["Set aside because"], ["", "", "paste dried out"]],
  [["Planned (min)"], ["15", "20"]],
  [["Colour"], ["red", ""]],
];

const must = [0, 2, 4, 5];

function drawnFile(random: SeededRandom): { of: string; bytes: Buffer; asked: Asked } {
  const chance = (share: number) => random.uniform() < share;
  const separator = oneOf(random, [",", ";", "\t"]);
  const end = oneOf(random, ["\n", "\r\n", "\r"]);
  const places = columns
    .map((_, at) => at)
    .filter((at) => (must.includes(at) ? chance(0.93) : at === 1 || at === 3 ? chance(0.1) : chance(0.3)))
    .sort(() => random.uniform() - 0.5);
  const quoted = (cell: string) =>
    new RegExp(`[${separator}"\\n]`).test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell;
  const line = (cells: readonly string[]) => cells.map(quoted).join(separator);
  const drawn = places.map((at) => columns[at] as Column);
  const header = line(drawn.map(([heads]) => oneOf(random, heads)));
  const usual = (cells: readonly string[]) => (chance(0.75) ? (cells[0] ?? "") : oneOf(random, cells));
  const rows = Array.from({ length: 1 + random.index(5) }, () =>
    line(drawn.map(([, cells]) => usual(cells))),
  );
  const said: string[] = [];
  const maybe = (share: number, name: string, change: () => void) => {
    if (!chance(share)) return;
    said.push(name);
    change();
  };
  maybe(0.08, "header again", () => rows.push(header));
  maybe(0.08, "a line too short", () =>
    rows.push(rows[0]?.split(separator).slice(0, 2).join(separator) ?? ""),
  );
  maybe(0.08, "a line too long", () => rows.push(`${rows[0]}${separator}7`));
  maybe(0.08, "an open quote", () => rows.push(`"${rows[0]}`));
  maybe(0.08, "blank lines", () => rows.push("", separator));
  maybe(0.05, "a note of what was not read", () => rows.push(`${separator}Not in this file: two attempts`));
  const above = chance(0.15) ? ["My evening with the shelf", ""] : [];
  const text = [...above, header, ...rows, ""].join(end);
  const encoding = oneOf(random, ["plain", "plain", "marked", "UTF-16 LE", "Latin 1"]);
  const bytes =
    encoding === "UTF-16 LE"
      ? Buffer.from(`\ufeff${text}`, "utf16le")
      : Buffer.from(
          encoding === "marked" ? `\ufeff${text}` : text,
          encoding === "Latin 1" ? "latin1" : "utf8",
        );
  const settles = chance(0.7);
  const typed: ChoicesTyped = settles
    ? {
        ...{ "outcome crash": "freeze", "outcome hm, no": "stopped", "workload mixing": "new:all-core" },
        ...{
          workloadId: id(1),
          days: chance(0.3) ? "second" : undefined,
          zone: oneOf(random, [undefined, " Europe/Paris "]),
        },
      }
    : {};
  const of = [
    JSON.stringify(separator),
    JSON.stringify(end),
    encoding,
    above.length > 0 ? "a title" : "",
    ...said,
    settles ? "settled" : "",
  ];
  return { of: of.filter((word) => word !== "").join(", "), bytes, asked: { typed } };
}

const file = (...lines: readonly string[]) => lines.join("\n");
const plain = file("clock MHz,voltage mV,result,lasted min,load", "4600,1200,ok,15,stacking");
const wide = (count: number) =>
  file(Array.from({ length: count }, (_, at) => `c${at}x`).join(), Array(count).fill("1").join());
const long = (size: number) => `${plain}\n${"x".repeat(size - plain.length - 1)}`;

const files: Readonly<Record<string, readonly [string | Buffer, Asked?]>> = {
  plain: [plain],
  empty: [""],
  "blanks alone": ["\ufeff \n "],
  "one column": [file("clock", "4600")],
  "numbers alone": [file("1,2", "3,4")],
  "header alone": ["clock,voltage,outcome"],
  "a title alone over cells": [file("a,b", "c", "clock,voltage,result,min", "4600,1200,ok,15 min")],
  "two hundred columns": [wide(200)],
  "one more": [wide(201)],
  "more text than is taken": [long((16 << 20) + 1)],
  "a picture": [Buffer.from("89504e470d0a1a0a", "hex")],
  "no text": [Buffer.from("010203040506", "hex")],
  "header on the thirtieth line": [file(...Array(29).fill("words"), plain)],
  "header on the line below": [file(...Array(30).fill("words"), plain)],
  "separators in words": [
    file(
      "clock MHz;voltage mV;result;lasted min;note",
      '4600;1200;ok;15;"a, b, c"',
      '4600;1200;ok;15;"d, e, f"',
    ),
  ],
  "a length of time in volts": [file("clock,voltage,result,lasted [V],load", "4600,1200,ok,15,stacking")],
  "no clock": [file("voltage,result", "1200,ok")],
  "no voltage": [file("clock,result,min,load", "4600,ok,15,stacking")],
  "no voltage, and none is needed": [
    file("clock,result,lasted min,load", "4600,ok,15,stacking"),
    { chip: { axis: "clock", automaticVoltage: true } as Chip },
  ],
  "by offset": [
    file("offset,result,lasted s,load", "150,ok,900,stacking", ",ok,900,stacking"),
    { chip: { axis: "offset", automaticVoltage: false } as Chip },
  ],
  "by offset, without": [plain, { chip: { axis: "offset", automaticVoltage: false } as Chip }],
  "minutes, hours or seconds": [file("clock,volt,result,ran,load", "4600,1.2,ok,15,stacking")],
  "minutes it is": [
    file("clock,volt,result,ran,load", "4600,1.2,ok,15,stacking"),
    { typed: { "column-3": "durationS min" } },
  ],
  "nonsense chosen": [
    plain,
    {
      typed: {
        "column-0": "clockMhz V",
        "column-1": "speed mV",
        "column-3": "durationS ?",
        zone: "Attic/Bench",
      },
    },
  ],
  "two of one meaning": [plain, { typed: { "column-1": "clockMhz MHz" } }],
  "a zone": [
    file("clock,volt,result,min,load,when", "4600,1.2,ok,15 min,stacking,2031-05-04 02:30"),
    { zone: "Europe/Paris" },
  ],
  "order of days": [
    file(
      "clock,volt,result,lasted,load,date,time",
      "4600,1.2,ok,15:00,stacking,5/4/2031,10:00",
      "4600,1.2,ok,15:00,stacking,13/4/2031,10:00",
    ),
  ],
  "order of months": [
    file(
      "clock,volt,result,lasted,load,when",
      "4600,1.2,ok,15:00,stacking,5/4/2031 10:00",
      "4600,1.2,ok,15:00,stacking,4/13/2031 10:00",
    ),
  ],
  "a time without a day": [file("clock,volt,result,lasted,load,time", "4600,1.2,ok,15:00,stacking,10:00")],
  "a day without a time": [
    file("clock,volt,result,lasted,load,date", "4600,1.2,ok,15:00,stacking,2031-05-04"),
  ],
  "not yet begun": [
    file(
      "clock,volt,result,lasted,load,when",
      ...["12:10", "12:11"].map((at) => `4600,1.2,ok,15:00,stacking,2031-05-05 ${at}`),
    ),
  ],
  "still running": [
    file("clock,volt,result,lasted,load", "4600,1.2,running,,stacking", "4600,1.2,running,15 min,stacking"),
  ],
  "what contradicts": [
    file(
      "clock,volt,result,lasted,planned,load,temp,hottest,failed after,failed before",
      "4600,1.2,ok,10 min,15 min,stacking,80,79,,",
      "4600,1.2,froze,10 min,15 min,stacking,80,80,2 min,9 min",
      "4600,1.2,ok,15 min,15 min,stacking,80,81,2 min,9 min",
      "4600,,ok,15 min,,stacking,,,,",
      ",1.2,ok,15 min,,stacking,,,,",
      "4600,1.2,froze,10 min,,stacking,,,9 min,2 min",
    ),
  ],
  "bounds of figures": [
    file(
      "clock,volt,result,lasted,load,room,temp,power,fan",
      ...["0", "-1", "1e9"].flatMap((one) => [
        `${one},1200 mV,ok,15 min,stacking,,,,`,
        `4600,${one} mV,ok,15 min,stacking,,,,`,
        `4600,1200 mV,ok,${one},stacking,,,,`,
        `4600,1200 mV,ok,15 min,stacking,${one},${one},${one},${one}`,
      ]),
    ),
  ],
  "forty characters of a word and one more": [
    file(
      "clock,volt,result,lasted min",
      ...[40, 41].flatMap((size) => [`4600,1.2,${"x".repeat(size)},15`, `${"y".repeat(size)},1.2,ok,15`]),
    ),
  ],
  "every field by its name": [
    file(
      "startedAt,workload,clockMhz,voltageMv,outcome,plannedS,durationS,failedFromS,failedToS,ambientC,loadTempC,peakTempC,startTempC,supplyTempC,loadVoltageMv,voltageReadAt,loadLine,currentA,powerW,powerAt,fanRpm,fanMode,startKind,clockMode,tags,note,throttled,score,correctedErrors,temps [°C],knobs,alsoSet",
      '2031-05-04T12:00:00Z,stacking,4600,1200,freeze,1200,400,300,390,21.5,61,66,31,58,1120,chip,level 3,80,140,wall,1200,quiet,cold,fixed,a; b,words,no,12.5,2,"{""hotspot"":70}","{""cl"":30}","[{""name"":""x"",""value"":1,""harder"":""up""}]"',
    ),
  ],
  "a hundred words and one more": [
    file("clock,volt,result,lasted min", ...Array.from({ length: 101 }, (_, at) => `4600,1.2,word${at},15`)),
    { typed: { "outcome word99": "freeze", "outcome word100": "freeze" } },
  ],
  "a line that breaks off": [
    file(
      "clock,volt,result,lasted min,colour,shape",
      "4600,1.2,ok,15",
      "4600,1.2,ok",
      "4600,1.2,ok,15,red,round, ,",
      "4600,1.2,ok,15,red,round,x",
    ),
    { typed: { workloadId: id(1) } },
  ],
};

it("files of attempts drawn rough in many ways are read as before", () => {
  const random = seededRandom(51);
  const told = Array.from({ length: 26 }, () => {
    const { of, bytes, asked } = drawnFile(random);
    return `## ${of}\n${toldFile(bytes, asked)}`;
  });
  return expect(`${told.join("\n")}\n`).toMatchFileSnapshot("answers/attemptFiles.txt");
});

it("files of attempts at the bounds of what is taken are read as before", () => {
  const told = Object.entries(files).map(([name, [text, asked]]) => `## ${name}\n${toldFile(text, asked)}`);
  const held = attemptFileOf(plain);
  const usual = mappingProposed(held, "UTC");
  const kept = [
    undefined,
    {},
    { meanings: [null] },
    { ...usual, dayFirst: false, meanings: usual.meanings.map(() => null) },
    {
      ...usual,
      zone: "Europe/Paris",
      meanings: usual.meanings.map(() => ({ field: "clockMhz", unit: "V" })),
    },
  ];
  told.push(
    `## remembered, by ${held.key}`,
    ...kept.map((one) => `  ${JSON.stringify(mappingRemembered(one, held, "UTC"))}`),
  );
  return expect(`${told.join("\n")}\n`).toMatchFileSnapshot("answers/attemptFileBounds.txt");
});

const everyField = files["every field by its name"]?.[0] as string;
const chips = [
  undefined,
  { clockUnit: "MT/s", offset: null },
  { clockUnit: "MHz", offset: { unit: "steps" } },
] as const;

/** Attempts as they are written, and the other texts that are. */
function writtenTold(): readonly string[] {
  const file = attemptFileOf(everyField);
  const [line] = linesRead(file, mappingProposed(file, "UTC"), known, now).good;
  const full = { ...attemptFrom(line?.draft as AttemptDraft, now), id: id(3), setAside: { reason: "=odd" } };
  const spare = attemptFrom(
    { workloadId: id(1), clockMhz: 4600, outcome: "pass", durationS: 60 } as AttemptDraft,
    now,
  );
  const taggedWith = (...tags: string[]) => ({
    ...spare,
    id: id(4),
    setAside: null,
    tags,
    aboveCeiling: true,
  });
  const attempts = [
    full,
    taggedWith("a;b"),
    taggedWith("[a"),
    taggedWith("-a", "b"),
    taggedWith("a,b"),
  ] as unknown as Attempt[];
  const named = () => ({ workload: "+stacking", build: 'Shelf "A"' });
  return [
    ...chips.flatMap((chip) => [
      attemptCsvHeader(chip as Chips),
      attemptCsvHeader(chip as Chips, notHandedOver),
    ]),
    ...attemptCsvLines(attempts, named),
    ...attemptCsvLines(attempts.slice(0, 1), named, notHandedOver),
    notReadLine("two attempts"),
    columnsCsv(["=a", "b"], [Float64Array.of(1, Number.NaN, 2.5), Float64Array.of(3)]),
    columnsCsv([], []),
    tableCsv(table),
    writeUpMarkdown(blocks, (block) => (block.as === "chart" ? "chart<1>.svg" : null)),
  ].map((text) => text.replaceAll("\r\n", "\n").trimEnd());
}
type Chips = Parameters<typeof attemptCsvHeader>[0];

const table = {
  as: "table",
  caption: "1) Readings",
  columns: [
    { words: "Clock", unit: "MHz", holds: "figure" },
    { words: "=Note", unit: null, holds: "words" },
  ],
  rows: [
    ["−4.5", "-a"],
    ["+7", "a | b"],
    ["1.2.3", " c"],
  ],
} as unknown as TableBlock;
const blocks = [
  { as: "heading", level: 2, words: "- A *heading*" },
  { as: "paragraph", words: "1. one\n\n two  words\n\n\n = three" },
  { as: "paragraph", words: "" },
  { as: "paragraph", tone: "caution", words: "hot\n\nvery <hot>" },
  { as: "list", items: ["a_b", "# c"] },
  table,
  { as: "chart", caption: "A chart" },
  { as: "picture", caption: "A picture" },
] as unknown as readonly Block[];

it("what is written as text is written as before", () =>
  expect(`${writtenTold().join("\n")}\n`).toMatchFileSnapshot("answers/written.txt"));

const started = "2031-05-04T12:00:00.000Z";
const jsonLines = [
  '{"elapsedS":0,"temperatureC":40,"powerW":null,"throttled":false}',
  '{"elapsedS":"1.5","temperatureC":"41","throttled":"true","own [dB]":31}',
  '{"at":"2031-05-04T12:00:02Z","clockMhz":"","fanRpm":1200}',
  '{"elapsedS":-0.001,"temperatureC":40}',
  '{"elapsedS":2592000,"temperatureC":40}',
  '{"elapsedS":2592000.5,"temperatureC":40}',
  '{"at":"soon","temperatureC":40}',
  '{"temperatureC":40}',
  '{"elapsedS":3,"temperatureC":"warm"}',
  '{"elapsedS":3,"temperatureC":[1]}',
  '{"elapsedS":3,"time":1}',
  '{"elapsedS":3,"":1}',
  '{"elapsedS":3,"voltage":1200,"core (V)":1.2,"toString":1}',
  `{"elapsedS":3,"${"n".repeat(80)}":1}`,
  `{"elapsedS":3,"${"n".repeat(81)}":1}`,
  `{"elapsedS":3,"x [${"u".repeat(21)}]":1}`,
  "[1]",
  "null",
  "{",
  "  ",
  '{"elapsedS":null,"at":"2031-05-04T11:59:59Z"}',
];
const manyNamed = (count: number) =>
  JSON.stringify({
    elapsedS: 0,
    ...Object.fromEntries(Array.from({ length: count }, (_, at) => [`own ${at}`, at])),
  });

it("samples sent while a run goes on are read as before", () => {
  const sent: Readonly<Record<string, () => unknown>> = {
    lines: () => samplesFromNdjson(`\ufeff${jsonLines.join("\r\n")}\n`, started),
    "each alone": () =>
      jsonLines.flatMap((line) => (line.trim() === "" ? [] : samplesFromNdjson(line, started).channels)),
    nothing: () => samplesFromNdjson(" \n", started),
    "64 channels": () => samplesFromNdjson(manyNamed(64), started).channels.length,
    "65 channels": () => samplesFromNdjson(`{"elapsedS":0}\n${manyNamed(65)}`, started),
    "100,000 lines": () => samplesFromNdjson('{"elapsedS":0}\n'.repeat(100_000), started).t.length,
    "one more": () => samplesFromNdjson('{"elapsedS":0}\n'.repeat(100_001), started),
    table: () =>
      samplesFromCsv(
        'elapsedS, temperatureC,"own, too [V]"\n0,40,1\n1,,2\n2,41\n3,"42,1\n4,"43",x\n\n5,44,true',
        started,
      ),
    "table by the clock": () =>
      samplesFromCsv("at,load\n2031-05-04T12:00:00.5Z,80\n2031-05-04T11:00:00Z,80", started),
    "table without a time": () => samplesFromCsv("seconds,load\n1,80", started),
    "an open quote in the header": () => samplesFromCsv('"elapsedS,load\n1,80', started),
  };
  const told = Object.entries(sent).map(([name, ask]) => {
    try {
      return `## ${name}\n${toldOf(ask())}`;
    } catch (error) {
      return `## ${name}\n${refusalTold(error)}`;
    }
  });
  return expect(`${told.join("\n")}\n`).toMatchFileSnapshot("answers/sampleLines.txt");
});

const head = { journal: "rungbook", version: 2, exportedAt: now };
const lists = Object.fromEntries(
  ["chips", "boards", "workloads", "rules", "builds", "mounts", "noise", "attempts"].map((name) => [
    name,
    [],
  ]),
);
const board = (name: unknown, n = 1) => ({ id: id(n), createdAt: now, updatedAt: now, version: 1, name });
const nested = (depth: number) => `${"[".repeat(depth)}${"]".repeat(depth)}`;
const whole = JSON.stringify({ ...head, ...lists });

const documents: Readonly<Record<string, string>> = {
  whole,
  "with boards": JSON.stringify({ ...head, ...lists, boards: [board("Quay S"), board("Ü ✓ 𝄞", 2)] }, null, 1),
  "of the first form": JSON.stringify({ ...lists, ...head, version: 1 }),
  "of a form to come": JSON.stringify({ ...head, version: 3, ...lists }),
  "of a form in words": JSON.stringify({ ...head, version: "3", ...lists }),
  "of another kind": JSON.stringify({ ...head, journal: "diary", ...lists }),
  "not read in part": JSON.stringify({ ...head, notRead: "Two things.", ...lists }),
  "not read, no words": JSON.stringify({ ...head, notRead: 7, ...lists }),
  "without a head": JSON.stringify(lists),
  "without a time": JSON.stringify({ journal: "rungbook", version: 2, ...lists }),
  "without chips": whole.replace('"chips":[],', ""),
  "chips twice": whole.replace('"chips":[]', '"chips":[],"chips":[]'),
  "chips an object": whole.replace('"chips":[]', '"chips":{"a":{}}'),
  "chips a word": whole.replace('"chips":[]', '"chips":"none"'),
  "a field of its own": whole.replace('"chips":[]', '"fish":[]'),
  "a chip of nothing": whole.replace('"chips":[]', '"chips":[null,7]'),
  "a fault behind a sound board": JSON.stringify({
    ...head,
    ...lists,
    boards: [board("Quay S"), board(7, 2), board("Late", 3)],
  }),
  "nineteen faults": JSON.stringify({
    ...head,
    ...lists,
    boards: Array.from({ length: 19 }, (_, n) => board(7, n)),
  }),
  "thirty faults": JSON.stringify({
    ...head,
    ...lists,
    boards: Array.from({ length: 30 }, (_, n) => board(7, n)),
  }),
  "deleted things": JSON.stringify({
    ...head,
    ...lists,
    deleted: [
      { list: "boards", thing: board("Gone") },
      { list: "fish", thing: {} },
      { list: "boards", thing: {} },
    ],
  }),
  "folded to the most": whole.replace('"chips":[]', `"chips":[${nested(38)}]`),
  "folded once more": whole.replace('"chips":[]', `"chips":[${nested(39)}]`),
  empty: "",
  "a list": "[]",
  words: "just words",
  "nothing in it": "{}",
  "cut off": whole.slice(0, -9),
  "cut in a name": whole.slice(0, 4),
  "more behind": `${whole}x`,
  "blanks behind": `${whole}\n \n`,
};

it("documents of a journal are read as before", () => {
  const told = Object.entries(documents).map(([name, text]) => {
    const things: string[] = [];
    const reader = documentReader((section, thing, from) =>
      things.push(`  ${section} from ${from}: ${JSON.stringify(thing).slice(0, 150)}`),
    );
    try {
      for (let at = 0; at < text.length; at += 50) reader.write(Buffer.from(text.slice(at, at + 50)));
      reader.end();
    } catch (error) {
      things.push(...refusalTold(error).split("\n").slice(0, 3));
    }
    return `## ${name}\n${things.join("\n") || "  nothing in it"}`;
  });
  return expect(`${told.join("\n")}\n`).toMatchFileSnapshot("answers/documents.txt");
});
