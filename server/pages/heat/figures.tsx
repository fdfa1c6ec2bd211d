import type { HeatRun, Interval } from "../../bench/heat/heatReading.ts";
import { formatCount, formatDuration, formatNumber, formatRange, unknownMark } from "../../html/format.ts";
import { type Column, Table } from "../../html/table.tsx";
import type { HeatShown } from "./shown.ts";

type Figure = Readonly<{ what: string; value: string; unit: string; interval?: string; from: string }>;

const columns: readonly Column<Figure>[] = [
  { head: "Figure", words: true, cell: ({ what }) => what },
  {
    head: "Value",
    strong: true,
    cell: ({ value, unit }) => (
      <>
        {value} <span class="unit">{unit}</span>
      </>
    ),
  },
  { head: "95 % by scatter", cell: ({ interval }) => interval ?? "" },
  { head: "Rests on", words: true, cell: ({ from }) => from },
];

/** Every figure of the run with what it rests on. */
export const FigureTable = ({ run, shown }: { run: HeatRun; shown: HeatShown }) => (
  <Table
    caption="What the trace says, and what each figure rests on"
    columns={columns}
    rows={figuresOf(run, shown)}
    id="heat-figures"
  />
);

const range = (interval: Interval | null, decimals: number): string | undefined =>
  interval === null || interval.high - interval.low <= 0
    ? undefined
    : formatRange(interval.low, interval.high, decimals);

function figuresOf(run: HeatRun, shown: HeatShown): readonly Figure[] {
  return [
    ...levelFigures(run),
    ...riseFigures(run, shown),
    ...courseFigures(run),
    ...sensorFigures(run, shown),
  ];
}

function levelFigures({ level, final, cycle, peakC }: HeatRun): readonly Figure[] {
  return [
    ...(level
      ? [
          {
            what: "Level",
            value: formatNumber(level.meanC, 1),
            unit: "°C",
            interval: formatRange(level.lowC, level.highC, 1),
            from: `the mean of ${formatDuration(level.windowS)}: ${formatCount(level.samples, "reading")}, worth ${formatCount(level.independent, "independent one")}`,
          },
        ]
      : []),
    ...(cycle
      ? [
          {
            what: "Swings between",
            value: formatRange(cycle.lowC, cycle.highC, 1),
            unit: "°C",
            from: `the later two thirds of the run, again about every ${formatDuration(cycle.periodS)}`,
          },
        ]
      : []),
    ...(final
      ? [
          {
            what: "Had it run on",
            value: formatNumber(final.c, 1),
            unit: "°C",
            interval: formatRange(final.lowC, final.highC, 1),
            from: "every curve of two time constants that fits the readings, weighed by how well",
          },
        ]
      : []),
    { what: "Hottest reading", value: formatNumber(peakC, 1), unit: "°C", from: "one reading under load" },
  ];
}

function riseFigures(run: HeatRun, { outline, attempt }: HeatShown): readonly Figure[] {
  const has = (name: string) => outline.channels.some(({ channel }) => channel === name);
  return [
    {
      what: "Room",
      value: formatNumber(run.ambientC, 1),
      unit: "°C",
      from:
        run.ambientC === null
          ? "not known"
          : has("ambient")
            ? "its channel, as the heatsink felt it"
            : "as noted with the attempt",
    },
    {
      what: "Rise over the room",
      value: formatNumber(run.rise?.mid, 1),
      unit: "°C",
      ...optional(range(run.rise, 1)),
      from: run.rise === null ? "needs a level and the room" : "level less room",
    },
    {
      what: "Power",
      value: formatNumber(run.powerW, 1),
      unit: "W",
      from:
        run.powerW === null
          ? powerMissing(attempt.powerAt)
          : has("power")
            ? "its channel over the same window"
            : "as noted with the attempt",
    },
    {
      what: "Thermal resistance",
      value: formatNumber(run.resistance?.mid, 3),
      unit: "°C/W",
      ...optional(range(run.resistance, 3)),
      from: run.resistance === null ? "needs a rise and the chip's power" : "rise by power",
    },
  ];
}

const optional = (interval: string | undefined) => (interval === undefined ? {} : { interval });

const powerMissing = (at: string | null): string =>
  at === "wall" || at === "board" ? `noted at the ${at}, which says nothing of the chip's own` : "not known";

function courseFigures({ levelledAtS, fit, load, gaps, throttled }: HeatRun): readonly Figure[] {
  const spans = (found: readonly { fromS: number; toS: number }[]) =>
    found
      .map(({ fromS, toS }) => `${formatNumber(fromS, 0)} to ${formatNumber(toS, 0)} s`)
      .slice(0, 8)
      .join(", ");
  return [
    {
      what: "Levelled after",
      value: formatDuration(levelledAtS),
      unit: "",
      from:
        levelledAtS === null
          ? "not levelled, or too early to say"
          : "from then on the fitted curve stays within 1\u00a0°C of where it tends",
    },
    {
      what: "Time constants",
      value: fit ? fit.parts.map((part) => formatDuration(part.timeConstant)).join(", ") : unknownMark,
      unit: "",
      from: fit ? "least squares; after each, 63 % of its part of the rise is done" : "no curve is fitted",
    },
    {
      what: "Load",
      value: load ? formatRange(load.fromS, load.toS) : unknownMark,
      unit: "s",
      from: load ? `its start was ${startWords[load.foundFrom]}` : "none is seen",
    },
    ...(throttled.length > 0
      ? [
          {
            what: "Held back",
            value: formatCount(throttled.length, "time"),
            unit: "",
            from: spans(throttled),
          },
        ]
      : []),
    ...(gaps.length > 0
      ? [{ what: "No readings", value: formatCount(gaps.length, "gap"), unit: "", from: spans(gaps) }]
      : []),
  ];
}

const startWords = {
  given: "given",
  power: "found in the power",
  load: "found in the load channel",
  temperature: "found in the temperature",
  "first row": "taken to be the first row",
} as const;

/** Kept apart from scatter: it shifts every reading alike, and no averaging takes it out. */
function sensorFigures({ stepC }: HeatRun, { chip }: HeatShown): readonly Figure[] {
  return [
    {
      what: "Sensor accuracy",
      value: chip === null ? unknownMark : `± ${formatNumber(chip.sensorAccuracyC)}`,
      unit: "°C",
      from: "as the chip has it, 1 °C where nobody said; it shifts every reading alike, so it is in none of the intervals here",
    },
    {
      what: "Sensor step",
      value: stepC > 0 ? formatNumber(stepC) : "not rounded",
      unit: stepC > 0 ? "°C" : "",
      from: "the least distance between two readings",
    },
  ];
}
