import { expect, it } from "vitest";
import {
  conversionOf,
  isKnownChannel,
  knownChannels,
  unitKept,
  unitSpelled,
  unitsOf,
} from "../../server/bench/logs/channel.ts";
import { type ColumnGlimpse, columnsProposed, unitWritten } from "../../server/bench/logs/columnProposal.ts";
import { cellReading } from "../../server/csv/attemptCell.ts";
import { attemptColumns, unitsFor } from "../../server/csv/attemptColumns.ts";
import { cellsInLine, csvRecords } from "../../server/csv/csvRecords.ts";
import { durationIn } from "../../server/csv/durationCell.ts";
import { fieldsInLine, lineCellsOf } from "../../server/csv/lineCells.ts";
import { leftOut, lineScanner, timeSlot } from "../../server/csv/lineScanner.ts";
import { decimalSignOf, flagIn, numberIn, unitIn } from "../../server/csv/logNumber.ts";
import {
  clockSeconds,
  instantSeconds,
  minuteSeconds,
  shortClockOf,
  Timeline,
} from "../../server/csv/logTime.ts";
import { dayComesFirst, fromWall, isZone, momentIn } from "../../server/csv/momentCell.ts";
import { outcomeSpelled } from "../../server/csv/outcomeSpelled.ts";
import { dateOrders, ordersOf, ordersOfAll, writtenMoment } from "../../server/csv/writtenMoment.ts";
import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";
import { oneOf } from "./chosen.ts";

const isNothing = (value: unknown): boolean =>
  value === undefined ||
  value === null ||
  Number.isNaN(value) ||
  (Array.isArray(value) && value.length === 0);

/** What a cell is to each that reads cells, those of one mind together; nothing is told of those that read nothing in it. */
function readAs(cell: string, readers: Readonly<Record<string, (cell: string) => unknown>>): string {
  const said = new Map<string, string[]>();
  for (const [name, read] of Object.entries(readers)) {
    const value = read(cell);
    if (isNothing(value)) continue;
    const words = typeof value === "object" ? JSON.stringify(value) : String(value);
    said.set(words, [...(said.get(words) ?? []), name]);
  }
  const told = [...said].map(([words, names]) => `${words} (${names.join(" ")})`);
  return `${JSON.stringify(cell)}  ${told.join("  ") || "nothing"}`;
}

const moment = (read: { seconds: number; zoned: boolean } | undefined): string | undefined =>
  read && `${new Date(read.seconds * 1000).toISOString().replace(".000", "")}${read.zoned ? "" : " local"}`;

const numbers = {
  point: (cell: string) => numberIn(cell, "."),
  comma: (cell: string) => numberIn(cell, ","),
  united: (cell: string) => Object.values(unitIn(cell) ?? {}),
  flag: flagIn,
};
const times = {
  clock: clockSeconds,
  minutes: minuteSeconds,
  s: (cell: string) => durationIn(cell, "s", "."),
  min: (cell: string) => durationIn(cell, "min", "."),
  h: (cell: string) => durationIn(cell, "h", ","),
};
const dates = {
  instant: (cell: string) => moment(instantSeconds(cell)),
  ...Object.fromEntries(
    dateOrders.map((order) => [order, (cell: string) => moment(writtenMoment(cell, order))]),
  ),
  orders: (cell: string) => ordersOf(cell).join() || undefined,
  clock: clockSeconds,
  utc: (cell: string) => momentIn(cell, { zone: "UTC", dayFirst: true })?.replace(".000", ""),
  "new york": (cell: string) =>
    momentIn(cell, { zone: "America/New_York", dayFirst: false })?.replace(".000", ""),
};

const held = (name: string, lines: readonly string[]) =>
  expect(`${lines.join("\n")}\n`).toMatchFileSnapshot(`answers/${name}.txt`);

const numberCells =
  "0|-0|+5|−5|–5|5.|.5|1.5|1,5|1,50|0,125|12,125|1,125|1234,125|1.125|1.234.567|1.234.567,8|1,234,567.8|1,234.5|1.234,5|1,5,5|1e3|1E-3|1e999|-|.|,|+|5 5|inf|NaN|n/a|0x10|5 W|5W|1,5 V|-4.5°C|−4.5 °C|80 %|1e3 Hz|5 1/min|5 12345678|5 123456789|5 abcdefgh|5 abcdefghi|5 .x|yes|TRUE|on|Active|ja|an|no|False|off|inactive|none|nein|aus|maybe|1|  7  |";

it("a number in a cell is read as before, and so is yes or no", () =>
  held("numbers", [
    ...numberCells.split("|").map((cell) => readAs(cell, numbers)),
    ...[
      ["1,5"],
      ["1,125"],
      ["0,125"],
      ["-0,125"],
      ["1.125,5"],
      ["1.5"],
      ["1,125", "1,5"],
      ["1,125", "1.5"],
      ["x", "7"],
      ["1,125 W"],
      [" 1,5"],
      ["1.125.125,5"],
      ["12.12,5"],
      [],
    ].map((cells) =>
      [
        JSON.stringify(cells),
        ...[",", ";"].map((separator) => `${decimalSignOf(cells, separator)} in ${separator}`),
      ].join("  "),
    ),
  ]));

const timeCells =
  "0|15|0,5|0.5|1.234,5|90 s|90s|1 h 20 min|1h20m|1,5 h|2d|1 d 2 h 3 min 4 s|3 sec|5 m|1 h x|1 w|0:00|7:30|7:59|7:60|75:30|9999:00|10000:00|12:00|12:00:00|1:05:00|1:05:59.5|1:05:59,25|1:05:60|1:05:61|1:59:00|1:60:00|23:59:59.999|24:00:00|13:04:05:250|13:04:05.123456789|13:04:05.1234567890|1:04 pm|1:04pm|12:05 am|12:05 PM|11:59:59 pm|12:00:00.5 AM|0:30 am|x 13:04|2031-05-04 13:04|T13:04|13:4|1:2:3|:30|-7:30| 7:30 |";

it("a time of day and a length of time are read as before", () =>
  held("times", [
    ...timeCells.split("|").map((cell) => readAs(cell, times)),
    ...[
      ["Time", "13:04", "13:05"],
      ["Time", "13:04", "13:04"],
      ["Time", "13:04", "13:05", " 13:05"],
      ["Time", "23:59", "23:58"],
      ["Time", "0:59", "24:00"],
      ["Elapsed", "1:00", "1:00"],
      ["Run time", "1:00", "1:01"],
      ["Dauer mm:ss", "1:00", "1:01"],
      ["hh:mm", "1:00", "1:01"],
      ["m:ss", "1:00", "1:01"],
      ["Time", "13:04"],
      ["Time", "13:04", "13:04:05"],
      ["Time", "13:04", ""],
    ].map(
      ([name = "", ...cells]) =>
        `${name}: ${cells.join(", ")}  ${shortClockOf(name, cells) ?? "no short clock"}`,
    ),
  ]));

const dateCells = [
  ...["2031-05-04T13:04:05Z", "2031-05-04 13:04:05.25", "20310504T130405Z", "2031-05-04T13:04+02:00"],
  ...["2031-05-04T13:04-0330", "2031-05-04T13:04+05", "2031-05-04 13:04 UTC", "2031-05-04 13:04:05 gmt"],
  ...["2031-12-04T13:04", "2031-13-04T13:04", "2031-05-31T13:04", "2031-05-32T13:04", "2031-06-31 13:04"],
  ...["2031-00-04T13:04", "2031-05-00T13:04", "2031-05-04T24:00", "2031-05-04T25:00", "2031-05-04T23:59:60"],
  ...["2031-05-04T13:59", "2031-05-04T13:60", "2031-05-04 13:04:61", "2031-05-04T13:04:05,123456789Z"],
  ...[
    "2031-05-04",
    "2031/5/4 13:04",
    "2031.05.04 13:04",
    "4.5.2031 13:04",
    "4.5.31 13:04:05",
    "04.05.2031, 13:04",
  ],
  ...["13.5.2031 13:04", "5/13/2031 13:04", "13/5/2031 1:04 pm", "5/4/2031 1:04:05 PM", "4/5/31 12:04 a.m."],
  ...["12/12/31 13:04", "31/12/31 13:04", "31-12-30 13:04", "5/4/031 13:04", "5/4/1 13:04", "1/2-2031 13:04"],
  ...["29.2.2032 0:00", "29.2.2031 0:00", "4 May 2031 13:04", "4. Mai 2031 13:04", "4-May-31 13:04:05"],
  ...["4 May 2031, 13:04", "May 4, 2031 13:04", "May 4 2031 1:04 pm", "Sun May 4 13:04:05 2031"],
  ...["Sun May 4 13:04:05 CEST 2031", "Sunday, 4 May 2031 13:04", "May 4 13:04:05", "32 May 2031 13:04"],
  ...[
    "4 Dec 2031 13:04",
    "4 Jan 2031 13:04",
    "4 Foo 2031 13:04",
    "4 December 2031 13:04",
    "Nov 28 21:33:31 UTC 2026",
  ],
  ...[
    "4.5.2031 13:04 CET",
    "4.5.2031 13:04 EST",
    "4.5.2031 13:04 JST",
    "4.5.2031 13:04 XYZ",
    "4.5.2031 13:04 ABCDEF",
  ],
  ...["4.5.2031 13:04 +0200", "4.5.2031 13:04 UTC-03:30", "4.5.2031 13:04 −01", "4.5.2031 13:04 GMT +05:45"],
  ...["4.5.2031 13:04 Europe/Paris", "4.1.2031 13:04 [Europe/Paris]", "4.5.2031 13:04 Attic/Bench"],
  ...["4.5.2031 24:00", "4.5.2031 25:00", "4.5.2031 13:59", "4.5.2031 13:60", "4.5.2031 13:04:60"],
  ...["4.5.2031 13:04:61", "4.5.2031 13:04:59", "4.5.2031 13:04:05,5", "4.5.2031 23:00", "4.5.2031T13:04"],
  ...["2031-03-30 02:30", "2031-10-26 02:30", "2031-03-09 02:30", "2031-11-02 01:30", "2031-07-04 13:04"],
  ...["2031-01-04 13:04", "2031-05-04T13:04:05.123Z", "2031-05-04T13:04:05+0530", "31.6.2031 13:04", "13:04"],
  ...["1:04 13:04", "4/5 13:04", "", "soon", "12.12.2031 0:59:59.5", "0.5.2031 13:04", "4.0.2031 13:04"],
  ..."UT WET WEST CEST MEZ MESZ EET EEST EDT CDT MST MDT PST PDT"
    .split(" ")
    .map((zone) => `4.5.2031 12:00 ${zone}`),
];

const drawnDay = (random: SeededRandom): string => {
  const [y, m, d] = [2029 + random.index(4), 1 + random.index(12), 1 + random.index(31)];
  const two = (value: number) => (random.index(3) > 0 ? String(value).padStart(2, "0") : `${value}`);
  const name = "January February March April May June July August September October November December".split(
    " ",
  )[m - 1];
  return oneOf(random, [
    `${y}-${String(m).padStart(2, "0")}-${String(d).padStart(2, "0")}`,
    `${two(d)}.${two(m)}.${y}`,
    `${two(d)}/${two(m)}/${oneOf(random, [y, y - 2000])}`,
    `${two(m)}-${two(d)}-${y}`,
    `${d} ${name} ${y}`,
    `${name?.slice(0, 3)} ${d}, ${y}`,
  ]);
};

const drawnClock = (random: SeededRandom): string => {
  const [h, m, s] = [random.index(25), random.index(60), random.index(60)];
  const long = `${h}:${String(m).padStart(2, "0")}`.padStart(5, "0");
  const seconds = oneOf(random, [
    "",
    `:${String(s).padStart(2, "0")}`,
    `:${String(s).padStart(2, "0")}.${random.index(1000)}`,
  ]);
  return `${long}${seconds}${oneOf(random, ["", "", "", " pm", " AM"])}${oneOf(random, ["", "", "", "Z", " UTC", "+02:00", "-0700", " PST"])}`;
};

it("a date with a clock is read as before, whichever way it is written", () => {
  const random = seededRandom(21);
  const drawn = Array.from(
    { length: 60 },
    () => `${drawnDay(random)}${oneOf(random, [" ", " ", "T", ", "])}${drawnClock(random)}`,
  );
  return held("dates", [
    ...[...dateCells, ...drawn].map((cell) => readAs(cell, dates)),
    ...[
      ["13/5/2031", "5/4/2031"],
      ["12/5/2031", "5/13/2031"],
      ["12/12/2031"],
      ["4.5.2031"],
      ["5-12-31", " 5-13-31"],
      ["x", ""],
      ["13/5/2031", "5/13/2031"],
    ].map((cells) => `${cells.join(", ")}  days first: ${dayComesFirst(cells)}`),
    ...[
      ["4/5/2031 1:00", "13/5/2031 1:00"],
      ["4/5/2031 1:00", "5/13/2031 1:00"],
      ["4/5/31 1:00", "x"],
      ["13/5/2031 1:00", "5/13/2031 1:00"],
      [],
    ].map((cells) => `${cells.join(", ")}  orders: ${ordersOfAll(cells).join() || "none"}`),
    ...[
      "UTC",
      "Europe/Paris",
      "Australia/Lord_Howe",
      "Asia/Kathmandu",
      "America/St_Johns",
      "Attic/Bench",
    ].map((zone) =>
      [
        zone,
        ...(isZone(zone)
          ? [
              "2031-01-01T00:30",
              "2031-03-30T02:30",
              "2031-10-26T02:30",
              "2031-04-06T01:45",
              "2031-10-05T02:15",
            ].map((wall) => new Date(fromWall(Date.parse(`${wall}Z`), zone)).toISOString())
          : ["is no zone"]),
      ].join("  "),
    ),
  ]);
});

const steps: Readonly<Record<string, readonly number[]>> = {
  even: [100, 101, 102, 102, 103.5],
  "a gap just within an hour and one of an hour": [0, 1, 3600.9, 7200.9, 10_801],
  "over midnight": [86_398, 86_399, 0, 1, 2],
  "back by half a day and by a little more": [86_000, 86_001, 42_801, 42_800, 42_802],
  "back by a day and two minutes, and by more": [86_390, 86_399, -121, -120.5, -119],
  "back by an hour": [3 * 3600 - 1, 2 * 3600, 2 * 3600 + 1],
  "back by just under an hour and two minutes too early": [9000, 9001, 5521, 5520, 5522],
  "forward by an hour in the night": [7198, 7199, 10_800, 10_801],
  "forward by an hour and three steps": [7198, 7199, 10_802, 10_803],
  "forward by an hour at four": [14_398, 14_399, 18_000, 18_001],
  "forward by an hour and past the hour": [7198, 7199, 10_803, 10_804],
  "forward by an hour in steps of ten minutes": [0, 600, 1200, 1800, 6000, 6600],
  "forward by an hour in steps of a minute": [10_680, 10_740, 14_400, 14_460],
  "a stray step back and on": [0, 1, 2, 1.5, 3, 4],
  "back by five and by six": [10, 11, 12, 7, 8, 12, 6, 6.5, 7],
  "starts over": [100, 101, 102, 0, 1, 2],
  "one stray far back, then another farther": [100, 101, 102, 50, 49, 103],
  "not a number among them": [0, Number.NaN, 1, Number.POSITIVE_INFINITY, 2],
  "slow steps, back by less and more than ten of them": [0, 60, 120, 180, 240, 100, 110, 120],
};

it("times are laid on one line as before", () =>
  held(
    "timelines",
    Object.entries(steps).flatMap(([name, written]) =>
      [true, false].map((wraps) => {
        const line = new Timeline(wraps);
        const placed = written.map((at) => {
          const plain = line.plain(at);
          if (!Number.isNaN(plain)) return `${plain}`;
          const slow = line.place(at);
          return slow.t === undefined ? `[${slow.because}]` : `${slow.t}!${slow.adjusted ?? ""}`;
        });
        return `${name}${wraps ? ", a clock" : ""}: ${placed.join(" ")}`;
      }),
    ),
  ));

const scanned: readonly (readonly [
  string,
  Parameters<typeof lineScanner>[0]["timeWriting"],
  readonly string[],
])[] = [
  [
    ",.",
    "number",
    '0,40,x,100|1.5,-40.25,,7|2, 41 , \t,  8|3,,y,|-4,-,z,1|5,+1,z,1|6,1e3,z,1|7,.5,z,5.|8,.,z,1|9,-.5,z,-0|10,123456789,z,1234567890|11,123456789012345,z,-1234567890.12345|12,1234567890123456,z,1|13,0.00000000000001,z,1|14,0.000000000000001,z,1|15,9,z|16,9,z,1,2|17,9,"z",1|18,9,z,1\r|19,99 9,z,1|20,:,z,/|21,9,z,"1"|,1,z,1|1 ,1,z,1 \r'.split(
      "|",
    ),
  ],
  [";,", "number", "0;40,5;x;1|1;40.5;x;1|2;1,25; ;,5|3;1,2,3;x;1|4;-1,5;;-,5".split("|")],
  [",,", "number", "0,40,x,1|1,40.5,x,1".split("|")],
  [
    "\t.",
    "clock",
    "13:04:05|00:00:00|23:59:59.5|23:59:60|23:59:61|12:59:00|12:60:00|99:00:00|1:04:05|13-04:05|13:04-05|13:04:05.|13:04:05.123456789|13:04:05.1234567890|13:04:05Z|1a:04:05|13:0:405| 13:04:05|13:04|:3:04:05|1/:00:00|00:0:00:"
      .split("|")
      .map((time) => `${time}\t40\tx\t1`),
  ],
  [
    ",.",
    "instant",
    "2031-05-04T13:04:05Z|2031-05-04 13:04:05|2031-05-04T13:04:05.25Z|2031-05-05T00:00:00Z|2031-12-31T24:00:00|2031-12-31T25:00:00|2031-00-04T13:04:05|2031-01-04T13:04:05|2031-13-04T13:04:05|2031-05-00T13:04:05|2031-05-31T13:04:05|2031-05-32T13:04:05|2031/05-04T13:04:05|2031-05/04T13:04:05|2031-05-04_13:04:05|2031-05-04T13:04:05+02:00|2031-05-04T13:04|0099-05-04T13:04:05|20a1-05-04T13:04:05|a031-05-04T13:04:05|2031-5a-04T13:04:05|2031-02-04T13:04:05|2031-02-04T14:04:05|2030-02-04T14:04:05|1931-02-04T14:04:05|2031-05-04T13:04:05z"
      .split("|")
      .map((time) => `${time},40,x,1`),
  ],
  [",.", "date", ["4.5.2031 13:04:05,40,x,1"]],
  [",.", "minutes", ["7:30,40,x,1"]],
];

it("a plain line is scanned as before, and the same lines are left to the slower reader", () =>
  held(
    "scanned",
    scanned.flatMap(([[separator = "", decimal = ""], timeWriting, lines]) => {
      const columns = [new Float64Array(2), new Float64Array(2)];
      const decimals = new Uint8Array(2);
      const slots = Int32Array.from([timeSlot, 0, leftOut, 1]);
      const scanner = lineScanner(
        { separator, decimal: decimal as "." | ",", timeWriting, slots },
        columns,
        decimals,
      );
      return [
        `${timeWriting} with ${JSON.stringify(separator)} and ${decimal}`,
        ...lines.map((line) => {
          for (const column of columns) column.fill(-99);
          const bytes = Buffer.from(`!${line}\n5,5\n`);
          const next = scanner.scan(bytes, 1, 1);
          const read =
            next < 0
              ? "left"
              : `${[scanner.written(), ...columns.map(String)].join(" ")} to ${next - line.length}`;
          return `${JSON.stringify(line)}  ${read}, decimals ${decimals}`;
        }),
      ];
    }),
  ));

const lines = [
  ...[
    "a,b,c",
    ' "a" ,b',
    '"a,b",c',
    '"a""b",c',
    '"a"x ,c',
    '"open,c',
    "",
    ",",
    'a"b,c',
    '"",""',
    '"a" "b",c',
    "a;b;c",
  ],
  ...[
    "  7 8.5   9",
    "2031-05-04 13:04:05 7",
    "13:04:05 pm 7",
    "13:04:05.5 40 °C 1200 rpm 4,5 GHz",
    '"a b" 80 % x',
    "7 W/x 8 mV",
  ],
  ...["|a|b|", "a | b |c", "||", "| a |"],
  ...['{"a":1,"b":{"c":2,"d":{"e":null}},"f":[1]}', '{"a":true},', "[1]", "{", "null", '{"":{"":1}}'],
];
const separators = [",", ";", "\t", "|", " ", "json"] as const;

it("a line is taken apart as before, and a text into records", () =>
  held("lines", [
    ...lines.map((line) =>
      readAs(
        line,
        Object.fromEntries(
          separators.map((separator) => [
            separator,
            (text: string) => lineCellsOf(separator, ["a", "b.c", "f"])(text),
          ]),
        ),
      ),
    ),
    ...lines.slice(-6).map((line) => `${line}  ${JSON.stringify([...(fieldsInLine(line) ?? [])])}`),
    `folded  ${[...(fieldsInLine(`${'{"abcdefghi":'.repeat(24)}1${"}".repeat(24)}`) ?? [])].map(([name, value]) => `${name.length} ${value}`)}`,
    ...[
      'a,b\n"c\nd",e\r\nf\rg',
      '\n\n"x\r\ny\r\rz",1\n2',
      'a\n"open\nb,c\r\nd',
      '"a"',
      '"a"\n',
      "a,\n,b\n",
      '"a\n""b""\n",c\nd',
    ].flatMap((text) =>
      [...csvRecords(text, ",")].map((record) => `${JSON.stringify(text)}  ${JSON.stringify(record)}`),
    ),
    `${cellsInLine('x;"a;b"', ";")} and ${cellsInLine('x;"a;b', ";")}`,
  ]));

const unitWords =
  "°C|c|ºC|deg C|K|F|W|mW|MW|kW|uW|V|mV|uV|A|mA|Hz|kHz|MHz|GHz|rpm|U/min|%|percent|s|sec|ms|us|µs|ns|min|h|hours|day|clock|m:s|mm:ss|hh:mm|iso|iso 8601|count|ymd|date||bar|constructor".split(
    "|",
  );

it("a unit is known by its spellings, and fits the channels that it did", () =>
  held("units", [
    ...unitWords.map((unit) => {
      const fits = [...knownChannels, "own"].flatMap((channel) => {
        const found = conversionOf(channel, unit);
        return found === undefined
          ? []
          : [
              `${channel} ${found.to}${found.factor === 1 ? "" : ` x${found.factor.toPrecision(6)}`}${found.shift === 0 ? "" : ` ${found.shift}`}`,
            ];
      });
      return `"${unit}"  ${unitSpelled(unit) ?? "unknown"}: ${fits.join(", ")}`;
    }),
    ...[...knownChannels, "own", "toString"].map(
      (channel) =>
        `${channel}  kept in "${unitKept(channel, "bar")}", ${isKnownChannel(channel) ? unitsOf(channel).join(" ") : "not known"}`,
    ),
    ...[
      "Temp [°C]",
      "Temp (C)",
      "Temp {K} ",
      "Temp °C",
      "Temp° f",
      "Load %",
      "Core clock",
      "Clock MHz",
      "Row count",
      "Power_W",
      "Power/W",
      "Power:kW",
      "W",
      "Time, s",
      "Temp [x]",
      "Temp [] V",
      "days",
      "Up days",
      "Date dmy",
      "a-V",
      "Fan (1/min)",
    ].map((name) => `${name}  ${unitWritten(name) ?? "no unit"}`),
  ]));

const glimpse = (
  name: string,
  numbers: readonly number[],
  more: Partial<ColumnGlimpse> = {},
): ColumnGlimpse => ({
  name,
  kind: "number",
  numbers,
  ...more,
});

const headers: readonly (readonly ColumnGlimpse[])[] = [
  ...[
    "Time|CPU temp|VRM temp|Room|Pump|Core clock|Package power|Vcore|Amps|Usage|Throttling|Note",
    "Elapsed|Board temp|Die temp|GPU hot spot|CPU temp max|Coolant temp|Memory clock|Bus clock",
    "index|Temp|Temp|temperature|time|x|x",
    "Nr.|Disk °C|°F|W|kW|mV|GHz|rpm|mA|%|Limit MHz",
    "seconds|Core load|Load average|CPU package temp|Core distance temp|GPU load temp|effective clock|clock target",
    "t|Zeit|Umgebung [°C]|Wandler °C|Lüfter U/min|Takt MHz|Leistung W|Spannung V|Strom A|Auslastung %|Drosselung",
    "sample|Temp [W]|Power [°C]|Fan [%]|Clock [V]|Volt [MHz]",
    `T|${"long ".repeat(20)}|${"long ".repeat(20)}x|`,
    "CPU temp|CPU power",
  ].map((names) => names.split("|").map((name) => glimpse(name, [40, 41]))),
  ...[29.9, 30, -31].map((volts) => [
    glimpse("time", [0]),
    glimpse("Vcore", [1, volts, 1]),
    glimpse("Own voltage", [volts]),
  ]),
  ...[19.9, 20].map((hertz) => [
    glimpse("time", [0]),
    glimpse("Clock", [1, hertz]),
    glimpse("Power", [hertz]),
  ]),
  ...[
    [0, 1],
    [1e11, 1],
    [1.01e11, 1],
    [1e14, 1],
    [1.01e14],
    [1e17],
    [-1.01e17],
    [],
    [29_000, 29_000.01],
    [29_000.5, 29_000.51],
    [79_999.9, 79_999.91],
    [80_000, 80_000.01],
    [45_000, 45_000.03, 45_000.04],
    [45_000, 45_000.03, 45_000.06],
    [45_000, 45_001],
    [45_000.5, 45_000.5],
  ].map((of) => [glimpse("time", of), glimpse("temp", [40])]),
  [
    glimpse("time", [0], { cellUnit: "ms" }),
    glimpse("x", [40], { cellUnit: "°C" }),
    glimpse("y", [1], { cellUnit: "bar" }),
  ],
  [
    glimpse("time [V]", [0]),
    glimpse("temp", [40], { cellUnit: "W" }),
    glimpse("throttle", [], { kind: "flag" }),
  ],
  [glimpse("time min", [0]), glimpse("temp", [], { kind: "text" }), glimpse("power", [], { kind: "flag" })],
  ...(["instant", "date", "clock", "flag", "text", "blank"] as const).flatMap((kind) => [
    [glimpse("when", [], { kind }), glimpse("temp", [40]), glimpse("time", [0])],
    [
      glimpse("time", [], { kind, dateOrders: ["dmy"], shortClock: "m:s" }),
      glimpse("temp", [40]),
      glimpse("stamp", [], { kind: "clock" }),
    ],
    [glimpse("date", [], { kind, dateOrders: ["dmy", "mdy"], shortClock: "open" }), glimpse("count", [1])],
  ]),
];

it("columns are proposed as before", () =>
  held(
    "columns",
    headers.map((columns) => {
      const proposed = columnsProposed(columns).map(({ column, channel, unit, everyS }) =>
        [column === channel ? "" : `${column}=`, channel, unit && ` ${unit}`, everyS && ` every ${everyS} s`]
          .filter(Boolean)
          .join(""),
      );
      const of = columns.map(
        ({ name, kind, numbers: [first = "", ...more] }) =>
          `${name.trim().slice(0, 24)}${kind === "number" ? "" : ` ${kind}`}${columns.length > 3 ? "" : ` ${[first, ...more].slice(0, 3)}`}`,
      );
      return `${of.join("|")}\n  ${proposed.join("; ") || "nothing"}`;
    }),
  ));

const attemptCells = [
  ...[
    "4600",
    "4.6",
    "4,6",
    "4.7 GHz",
    "1187.5mV",
    "1,2 V",
    "1.2 MHz",
    "−4.5",
    "−4.5 °C",
    "72.5°F",
    "295.15 K",
    "0.1 kW",
    "1e3",
  ],
  ...["15", "1 h", "7:30", "yes", "x", "✓", "1", "0", "n", "-", "X", "maybe", "Cold", "warm", "chip"],
  ...[
    "evening; new paste,  x",
    ";",
    "'=a",
    '["a;b"]',
    "[1",
    "{}",
    '{"a":1}',
    "[]",
    "null",
    "=1+1",
    "2031-05-04 15:42",
    "quick",
    "",
  ],
];

const words =
  "pass|OK|Stable!|no_boot|No POST|won’t start|blue screen|shut-off|crash|fail||constructor|running|too hot|app crash|dead|void";

it("a cell of an attempt is read as before by each kind of column", () => {
  const inWords = ["workload", "outcome", "build", "id", "moment", "day", "clock"];
  const kinds = new Map(
    attemptColumns
      .filter(({ reads }) => !inWords.includes(reads.as))
      .map((column) => {
        const { reads, field } = column;
        const kind = reads.as === "quantity" ? reads.channel : reads.as === "choice" ? field : reads.as;
        return [kind, column] as const;
      }),
  );
  const readers = [...kinds].flatMap(([kind, column]) =>
    unitsFor(column).flatMap((unit) =>
      ([".", ","] as const).map((sign) => {
        const read = (cell: string) => {
          const value = cellReading(column, unit, cell, sign);
          return String(value) === cell && kind.startsWith("t") ? undefined : value;
        };
        return [`${kind}${unit && `/${unit}`}${sign}`, read] as const;
      }),
    ),
  );
  return held("attemptCells", [
    ...attemptCells.map((cell) => readAs(cell, Object.fromEntries(readers)).replace(/([^ (]+)\. \1,/g, "$1")),
    ...words.split("|").map((word) => `${word}  ${outcomeSpelled(word) ?? "asked"}`),
    ...attemptColumns.map(({ field, reads }) => `${field}  ${Object.values(reads).flat().join(" ")}`),
  ]);
});
