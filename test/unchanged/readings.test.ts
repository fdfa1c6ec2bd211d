import { expect, it } from "vitest";
import { columnMatchesFrom, headerKey } from "../../server/bench/logs/columnMatch.ts";
import { usualLogLimits } from "../../server/bench/logs/logLimits.ts";
import { sensorChoicesFrom } from "../../server/bench/logs/sensor.ts";
import { binaryRefusal, encodingOf } from "../../server/csv/logText.ts";
import { firstLinesOf } from "../../server/csv/sensorLog.ts";
import { tableGuessOf } from "../../server/csv/tableGuess.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { drawnLog } from "./drawnLog.ts";
import { toldOf } from "./told.ts";
import { refusalTold, toldLog, type Wanted } from "./toldLog.ts";

it("logs drawn rough in many ways are read as before", async () => {
  const random = seededRandom(31);
  const told: string[] = [];
  for (let i = 0; i < 70; i += 1) {
    const { of, bytes } = drawnLog(random);
    const pieceBytes = random.index(3) === 0 ? 1 + random.index(200) : 65_536;
    told.push(`## ${of}\n${await toldLog(bytes, { pieceBytes })}`);
  }
  await expect(`${told.join("\n")}\n`).toMatchFileSnapshot("answers/readings.txt");
});

const rows = (count: number, row: (at: number) => string, header = "Time [s],Temp [°C]"): string =>
  [header, ...Array.from({ length: count }, (_, at) => row(at)), ""].join("\n");
const plain = (count: number) => rows(count, (at) => `${at},${40 + (at % 9)}`);
const spaced = (stepS: number, count = 5) => rows(count, (at) => `${Number((at * stepS).toFixed(3))},40`);
const times = (name: string, ...cells: readonly string[]) =>
  rows(cells.length, (at) => `${cells[at]};${40 + at}`, `${name};Temp [°C]`);
const match = (column: string | number, channel: string, unit = "", everyS: number | null = null) => ({
  ...{ column, channel, unit, everyS },
});
const heat = match("Temp [°C]", "temperature", "°C");
const six = ["0,40", "1,41", "2,42", "3,43", "4,44", "5,45"];
const spoiled = (...lines: readonly string[]) =>
  ["Time [s],Temp [°C]", ...six.slice(0, 4), ...lines, ...six.slice(4), ""].join("\n");
const after = (...lines: readonly string[]) =>
  [...lines, ...six.map((line) => line.replace(",", ";")), ""].join("\n");
const bytes = (hex: string, text = plain(6)) => Buffer.concat([Buffer.from(hex, "hex"), Buffer.from(text)]);
const wideLog = (count: number) =>
  rows(
    5,
    (at) => Array.from({ length: count }, (_, column) => (column === 0 ? at : column)).join(),
    `Time,${Array.from({ length: count - 1 }, (_, at) => `c${at}x`)}`,
  );

const atBounds: Readonly<Record<string, readonly [string | Buffer, Wanted?]>> = {
  nothing: [""],
  "blank lines": ["\n \n"],
  "zeros alone": [Buffer.alloc(100)],
  "header alone": ["Time,Temp\n"],
  "header and blank lines": ["Time,Temp\n\n \n"],
  "one column": ["Temp\n40\n41\n42\n43\n"],
  "words alone": ["just words\nand more\n"],
  "three rows": [plain(3)],
  "one row": ["Time [s],Temp\n0,40\n"],
  "one row and one flaw": ["Time [s],Temp\n0,40\n1\n"],
  "no row to be read": ["Time [s],Temp\nx,40\ny,41\n"],
  "four rows": [plain(4)],
  "as many rows as a piece": [plain(4096)],
  "one row more": [plain(4097)],
  "many rows": [plain(9000), { pieceBytes: 10_000 }],
  "no number": [rows(5, (at) => `${at},x`), { matches: [match("Time [s]", "time", "s"), heat] }],
  "no number in three of four": [
    rows(5, (at) => `${at},x,y,z,4`, "t,a,b,c,d"),
    { matches: [match("t", "time", "s"), ...["a", "b", "c"].map((name) => match(name, name))] },
  ],
  "a number late": [
    rows(5000, (at) => `${at},${at > 4500 ? 7 : ""}`),
    { matches: [match("Time [s]", "time", "s"), heat] },
  ],
  "thirty days": [spaced(648_000)],
  "more than thirty days": [spaced(648_001)],
  "more, and meant": [
    spaced(648_001),
    { matches: [{ ...match("Time [s]", "time", "s"), sure: true }, heat] },
  ],
  "ten rows a second and a little": [spaced(0.0953, 40)],
  "more than ten a second": [spaced(0.095, 40)],
  "no time at all": [rows(5, () => "7,40")],
  "the most bytes": [plain(6), { limits: { bytes: Buffer.byteLength(plain(6)) } }],
  "one byte more": [plain(6), { limits: { bytes: Buffer.byteLength(plain(6)) - 1 } }],
  "the most rows": [plain(6), { limits: { rows: 6 } }],
  "one row too many": [plain(6), { limits: { rows: 5 } }],
  "the most columns": [wideLog(1000)],
  "one column more": [wideLog(1001)],
  "columns limited": [wideLog(5), { limits: { columns: 5 } }],
  "columns limited by one less": [wideLog(5), { limits: { columns: 4 } }],
  "a line as long as it may be": [plain(6), { limits: { lineBytes: "Time [s],Temp [°C]".length + 1 } }],
  "a header too long": [plain(6), { limits: { lineBytes: 17 } }],
  "a row too long": [`${plain(4000)}${"9".repeat(30)}\n${plain(4000)}`, { limits: { lineBytes: 29 } }],
  "a row just not too long": [
    `${plain(4000)}${"9".repeat(29)}\n${plain(400)}`,
    { limits: { lineBytes: 29 }, pieceBytes: 999 },
  ],
  "a row too long, in pieces": [
    `${plain(20_000)}${"9".repeat(30)}\n${plain(4)}`,
    { limits: { lineBytes: 29 }, pieceBytes: 7777 },
  ],
  "no line end for long": ["9".repeat(70_000), { limits: { lineBytes: 66_000 }, pieceBytes: 1000 }],
  "no line end, and none is needed": [
    `Time,Temp\n${"7".repeat(66_000)}\n${six.join("\n")}\n`,
    { pieceBytes: 1000 },
  ],
  "header on the thirtieth line": [after(...Array(29).fill("words alone"), "Time [s];Temp")],
  "header on the line below": [after(...Array(30).fill("words alone"), "Time [s];Temp")],
  "told where it begins": [
    after(...Array(40).fill("words; alone"), "Time [s];Temp"),
    { table: { separator: ";", headerAt: 41 } },
  ],
  "told that none has names": [after(), { table: { separator: ";", headerAt: 0 } }],
  "told beyond the end": [after("Time;Temp"), { table: { separator: ";", headerAt: 8 } }],
  "told at the end": [after("Time;Temp"), { table: { separator: ";", headerAt: 7 } }],
  "told by the wrong sign": [after("Time;Temp"), { table: { separator: ",", headerAt: 1 } }],
  "told none by the wrong sign": [after("Time;Temp"), { table: { separator: ",", headerAt: 0 } }],
  "no header": [`${six.join("\n")}\n`],
  "no header, said which": [
    `${six.join("\n")}\n`,
    { matches: [match(1, "time", "s"), match(2, "temperature")] },
  ],
  "no header, a clock and three readings": [
    rows(6, (at) => `13:04:0${at},4${at},${at},7`, "13:04:00,40,1,7"),
  ],
  "no header, a date and three readings": [
    rows(6, (at) => `2031-05-04 13:04:0${at},4${at},${at},7`, "2031-05-04 13:04:00,40,1,7"),
  ],
  "no header, a clock of twelve": [rows(6, (at) => `1:04:0${at} PM;4${at}`, "1:04:00 PM;40")],
  "a header after the time it began at": [
    rows(6, (at) => `13:04:0${at},4${at},9${at}`, "13:04:00,CPU temp,Power"),
  ],
  "half the rows of another width": [`${six.slice(0, 3).join("\n")}\nx\ny\nz\n`],
  "more than half of another width": [`${six.slice(0, 3).join("\n")}\nx\ny\nz\nw\n`],
  "a hash before the names": [`# Time [s],Temp\n${six.join("\n")}\n`],
  "a hash of its own": [`#,Time [s],Temp\n${six.map((line, at) => `${at + 1},${line}`).join("\n")}\n`],
  "units below": [`Time,Temp\ns,°F\n${six.join("\n")}\n`],
  "one unit below": [`Time,Temp\n,°F\n${six.join("\n")}\n`],
  "units in brackets below a group": [
    `,Chip,\nTime,Temp,Power\n[ms],(°C),kW\n${six.map((line) => `${line},7`).join("\n")}\n`,
  ],
  "a label before each row": [`Time,Temp\n${six.map((line) => `run,${line}`).join("\n")}\n`],
  "a count before each row": [`Temp,Power\n${six.map((line, at) => `${at + 1},${line}`).join("\n")}\n`],
  "a time behind each row": [`Temp,Power\n${six.map((line, at) => `${line},13:04:0${at}`).join("\n")}\n`],
  "a number behind each row": [`Time,Temp\n${six.map((line) => `${line},9`).join("\n")}\n`],
  "one row longer": [`Time,Temp\n7,8,9\n${six.join("\n")}\n`],
  "a rule under the names": [
    `Time | Temp\n-----+-----\n${six.map((line) => line.replace(",", " | ")).join("\n")}\n`,
  ],
  objects: [`${six.map((line) => `{"t":${line.replace(",", ',"temp":')}}`).join("\n")}\n`],
  "objects, and as many words": [
    `${six.map((line) => `{"t":${line.replace(",", ',"temp":')}}\nwords`).join("\n")}\n`,
  ],
  "objects, and one more of words": [
    `words\n${six.map((line) => `{"t":${line.replace(",", ',"temp":')}}\nwords`).join("\n")}\n`,
  ],
  "objects of one field": [`${six.map((line) => `{"t":${line.split(",")[0]}}`).join("\n")}\n`],
  "two columns of one name": [rows(6, (at) => `${at},${at},4`, "Time,Temp,Temp")],
  "a hundred columns": [wideLog(100)],
  "spoiled rows": [
    spoiled(
      '"4,44',
      "4",
      "4,44,1",
      "4,44, ",
      "-1,44",
      "x,44",
      "4,x",
      "Time [s],Temp [°C]",
      "4,+44",
      "",
      " ",
      "4,1e2",
    ),
  ],
  "units in a row": [spoiled("4,111.2 °F", "4,111.2 W", "4,45 C", "4,300 K", "4,4.5 bar")],
  "torn off": [plain(6).slice(0, -3)],
  "torn off in a cell": [`${plain(6)}6,"4`],
  "without a last line end": [plain(6).trimEnd()],
  "objects torn off": [`${six.map((line) => `{"t":${line.replace(",", ',"temp":')}}`).join("\n")}\n{"t":`],
  "zeros in the middle": [Buffer.from(`${plain(60)}\0\0\0\0${plain(60)}`)],
  "a zero at the end of a piece": [Buffer.from(`${plain(6)}${"\0".repeat(50)}`), { pieceBytes: 9 }],
  marked: [bytes("efbbbf")],
  "marked in part": [bytes("efbb41")],
  "a picture": [bytes("89504e470d0a")],
  "an archive": [bytes("1f8b")],
  "one odd byte in fifty": [bytes("01", `${"x".repeat(48)}\n`)],
  "one odd byte in less": [bytes("01", `${"x".repeat(47)}\n`)],
  "odd bytes late": [Buffer.concat([Buffer.from(plain(700)), Buffer.alloc(200, 1)])],
  "control bytes that stand in text": [bytes("090b0c0d0a")],
  "no flag but numbers": [rows(6, (at) => `${at},${at % 2}`, "Time,Throttling")],
  "flags and unknown words": [
    rows(6, (at) => `${at},${["yes", "no", "maybe", "", "1", "on"][at]}`, "Time,Throttling"),
  ],
  "a named column that is not there": [plain(6), { matches: [match("Time", "time", "s"), heat] }],
  "the last column by its place": [plain(6), { matches: [match(1, "time", "s"), match(2, "own", "x")] }],
  "a place too far": [plain(6), { matches: [match(1, "time", "s"), match(3, "own", "x")] }],
  "no time matched": [plain(6), { matches: [heat] }],
  "one matched twice": [plain(6), { matches: [match(1, "time", "s"), heat, heat] }],
  "a unit that does not fit": [plain(6), { matches: [match(1, "time", "s"), match(2, "power", "°C")] }],
  "rows counted": [plain(6), { matches: [match("", "time", "count", 2.5), heat] }],
  "rows counted, none without a number": [spoiled("x,y"), { matches: [match("", "time", "count", 1), heat] }],
  "words for a time": [rows(5, () => "idle,40"), { matches: [match("Time [s]", "time", "s"), heat] }],
  "an open clock": [times("Time", "13:04", "13:05", "13:06", "13:07", "13:08")],
  "an open clock, hours": [
    times("Time", "13:04", "13:05", "13:06", "13:07", "13:08"),
    { matches: [match("Time", "time", "h:m"), heat] },
  ],
  "an open clock, minutes": [
    times("Time", "13:04", "13:05", "13:06", "13:07", "13:08"),
    { matches: [match("Time", "time", "m:s"), heat] },
  ],
  "a clock seen twice": [times("Time", "13:04", "13:04", "13:05", "13:05", "13:06")],
  "dates in no one order": [
    times(
      "Date",
      "13/5/2031 10:00:00",
      "5/13/2031 10:00:01",
      "5/13/2031 10:00:02",
      "5/13/2031 10:00:03",
      "5/13/2031 10:00:04",
    ),
  ],
  "dates, said which": [
    times("Date", ..."01234".split("").map((s) => `5/4/2031 10:00:0${s}`)),
    { matches: [match("Date", "time", "mdy"), heat] },
  ],
  "dates with a zone": [times("Date", ..."01234".split("").map((s) => `5.4.2031 10:00:0${s} CEST`))],
  "days that there are none of": [
    times(
      "Time",
      "2031-05-31 23:59:58",
      "2031-05-31 23:59:59",
      "2031-05-32 00:00:00",
      "2031-06-31 00:00:00",
      "2031-06-01 00:00:01",
      "2031-06-01 00:00:02",
    ),
  ],
  "in the year 2000": [times("Time", ..."0123".split("").map((s) => `2000-01-01T00:00:0${s}Z`))],
  "after it": [times("Time", ..."1234".split("").map((s) => `2000-01-01T00:00:0${s}Z`))],
  "before 2200": [times("Time", ..."6789".split("").map((s) => `2199-12-31T23:59:5${s}Z`))],
  "in 2200": [times("Time", ..."0123".split("").map((s) => `2200-01-01T00:00:0${s}Z`))],
  "over midnight and one hour back": [
    times("Time", "23:59:58", "23:59:59", "00:00:00", "00:00:01", "2:59:58", "2:59:59", "2:00:00", "2:00:01"),
  ],
  "a time by its word alone": [
    rows(5, (at) => `2031${at},40`),
    { matches: [match("Time [s]", "time", "iso"), heat] },
  ],
  "a clock by its word alone": [
    rows(5, (at) => `${at},40`),
    { matches: [match("Time [s]", "time", "clock"), heat] },
  ],
  "minutes by their word alone": [
    rows(5, (at) => `${at},40`),
    { matches: [match("Time [s]", "time", "m:s"), heat] },
  ],
  "a date by its word alone": [
    rows(5, (at) => `${at},40`),
    { matches: [match("Time [s]", "time", "ymd"), heat] },
  ],
  "values above a group above the names": [after("Interval;1", "when;chip", "Time [s];Temp")],
  "names, rows, and names as good below": [
    after("Time [s];Temp", ...six.map((line) => line.replace(",", ";")), "Time [ms];Room"),
  ],
  "more flaws than are told": [spoiled(...Array(203).fill("7"))],
  "as many flaws as are told": [spoiled(...Array(200).fill("7"))],
  thousands: [rows(5, (at) => `${at};1.20${at},5`, "Time;Clock [kHz]")],
  "thousands by commas": [rows(5, (at) => `${at};1,20${at}.5`, "Time;Clock [kHz]")],
  millions: [rows(5, (at) => `${at};1,200,00${at}`, "Time;Clock [Hz]")],
};

async function* sent(text: string): AsyncGenerator<Buffer> {
  yield Buffer.from(text);
}
const guessed = [
  ["one", "a;b", "1;2", "3;4", "5;6", "7;8"],
  ["a;b", "1;2", "3;4", "5;6"],
  ["1;2;3", "4;5;6", "7;8;9", "1;1;1", "words, 1", "words, 2", "words, 3", "words, 4", "words, 5"],
  ["x 1,2", "x 3,4", "x 5,6", "x 7,8"],
  ["a|b|c", "1|2|3", "1|2|3", "1|2|3", "1|2|3"],
];
const matchesSent = [
  "{",
  "[]",
  '[{"column":"a","channel":"time"}]',
  '[{"column":0,"channel":"time"}]',
  '[{"column":1,"channel":""}]',
  '[{"column":1,"channel":"time","unit":"s","everyS":0},{"column":"b","channel":"x"}]',
  '[{"column":1,"channel":"time","unit":null,"everyS":86400,"sure":true},{"column":"b","channel":"x","sure":false}]',
  '[{"column":1,"channel":"time","everyS":86401},{"column":"b","channel":"x"}]',
  JSON.stringify(
    Array.from({ length: 1001 }, (_, at) => ({ column: at + 1, channel: at === 0 ? "time" : `c${at}` })),
  ),
];
const sensors = (count: number, channel = "own") =>
  Array.from({ length: count }, (_, at) => ({ sensor: `s${at}`, channel: `${channel}${at}` }));

const heads = [
  ...[
    "504b0304",
    "504b0506",
    "1f8b",
    "377abcaf271c",
    "fd377a585a00",
    "25504446",
    "89504e47",
    "ffd8ff",
    "d0cf11e0",
  ],
  ...[
    "7f454c46",
    "53514c69746520666f726d6174",
    "fffe4100",
    "ff41",
    "41fe",
    "feff0041",
    "fe41",
    "41ff",
    "efbbbf41",
  ],
  ...[
    "410042004300",
    "004100420043",
    "41004200430044",
    "0041004200430044",
    "41004242",
    "00414242",
    "41",
    "c3a4",
    "c3",
    "a4",
    "",
  ],
  ...["4100000000", "0141", "0741", "0841", "0941", "0d41", "0e41", "1f41", "2041"],
];
const headTold = (hex: string): string => {
  const head = Buffer.from(hex, "hex");
  return `${hex}  ${encodingOf(head)}  ${binaryRefusal(head)?.message ?? "text"}`;
};

const orRefusal = (ask: () => unknown): string => {
  try {
    return `  ${toldOf(ask())}`;
  } catch (error) {
    return refusalTold(error);
  }
};

it("what is asked about a log beside its rows is answered as before", async () => {
  const told = [
    ...guessed.map((lines) => `${lines.join("  ")}\n${orRefusal(() => tableGuessOf(lines))}`),
    ...matchesSent.map((text) => `${text.slice(0, 100)}\n${orRefusal(() => columnMatchesFrom(text))}`),
    `${headerKey([" a ", "b"])}`,
    ...heads.map(headTold),
    ...[sensors(32), sensors(33), [...sensors(1), ...sensors(1)]].map((list) =>
      orRefusal(() => sensorChoicesFrom(list)),
    ),
    orRefusal(() =>
      sensorChoicesFrom([...sensors(1), ...["a", "b"].map((sensor) => ({ sensor, channel: "fan" }))]),
    ),
    ...(await firstLinesOf(sent(plain(3)), { limits: usualLogLimits })),
    `${(await firstLinesOf(sent(plain(9000)), { limits: usualLogLimits })).length} lines`,
  ];
  await expect(`${told.join("\n")}\n`).toMatchFileSnapshot("answers/besideRows.txt");
});

it("logs at the bounds of what is read are read as before", async () => {
  const told: string[] = [];
  for (const [name, [log, wanted]] of Object.entries(atBounds))
    told.push(`## ${name}\n${await toldLog(log, wanted)}`);
  await expect(`${told.join("\n")}\n`).toMatchFileSnapshot("answers/readingBounds.txt");
});
