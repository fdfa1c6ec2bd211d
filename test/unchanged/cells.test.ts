import { it } from "vitest";
import { cellReading } from "../../server/csv/attemptCell.ts";
import { attemptColumns, unitsFor } from "../../server/csv/attemptColumns.ts";
import { durationIn } from "../../server/csv/durationCell.ts";
import { decimalSignOf, flagIn, numberIn, unitIn } from "../../server/csv/logNumber.ts";
import { clockSeconds, instantSeconds, minuteSeconds, shortClockOf } from "../../server/csv/logTime.ts";
import { dayComesFirst, fromWall, isZone, momentIn } from "../../server/csv/momentCell.ts";
import { outcomeSpelled } from "../../server/csv/outcomeSpelled.ts";
import { dateOrders, ordersOf, ordersOfAll, writtenMoment } from "../../server/csv/writtenMoment.ts";
import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";
import { oneOf } from "./chosen.ts";
import { heldLines, readAs } from "./heldLines.ts";

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

const numberCells =
  "0|-0|+5|−5|–5|5.|.5|1.5|1,5|1,50|0,125|12,125|1,125|1234,125|1.125|1.234.567|1.234.567,8|1,234,567.8|1,234.5|1.234,5|1,5,5|1e3|1E-3|1e999|-|.|,|+|5 5|inf|NaN|n/a|0x10|5 W|5W|1,5 V|-4.5°C|−4.5 °C|80 %|1e3 Hz|5 1/min|5 12345678|5 123456789|5 abcdefgh|5 abcdefghi|5 .x|yes|TRUE|on|Active|ja|an|no|False|off|inactive|none|nein|aus|maybe|1|  7  |";

it("a number in a cell is read as before, and so is yes or no", () =>
  heldLines("numbers", [
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
  heldLines("times", [
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
  return heldLines("dates", [
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
  return heldLines("attemptCells", [
    ...attemptCells.map((cell) => readAs(cell, Object.fromEntries(readers)).replace(/([^ (]+)\. \1,/g, "$1")),
    ...words.split("|").map((word) => `${word}  ${outcomeSpelled(word) ?? "asked"}`),
    ...attemptColumns.map(({ field, reads }) => `${field}  ${Object.values(reads).flat().join(" ")}`),
  ]);
});
