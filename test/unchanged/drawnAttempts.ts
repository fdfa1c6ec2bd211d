import type { AttemptMapping, assertMapping } from "../../server/csv/attemptMapping.ts";
import type { ChoicesTyped } from "../../server/csv/attemptMappingTyped.ts";
import type { SeededRandom } from "../../server/numerics/seededRandom.ts";
import { id } from "./attemptsKnown.ts";
import { oneOf } from "./chosen.ts";

type Chip = Parameters<typeof assertMapping>[2];
export type Asked = Readonly<{
  zone?: string;
  typed?: ChoicesTyped;
  change?: Partial<AttemptMapping>;
  chip?: Chip;
}>;

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

export function drawnFile(random: SeededRandom): { of: string; bytes: Buffer; asked: Asked } {
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
