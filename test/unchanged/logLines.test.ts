import { it } from "vitest";
import { cellsInLine, csvRecords } from "../../server/csv/csvRecords.ts";
import { fieldsInLine, lineCellsOf } from "../../server/csv/lineCells.ts";
import { leftOut, lineScanner, timeSlot } from "../../server/csv/lineScanner.ts";
import { Timeline } from "../../server/csv/logTime.ts";
import { heldLines, readAs } from "./heldLines.ts";

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
  heldLines(
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
  heldLines(
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
  heldLines("lines", [
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
