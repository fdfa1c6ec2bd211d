import type { Efficiency } from "../../bench/power/efficiency.ts";
import type { PowerAccount } from "../../bench/power/powerAccount.ts";
import type { ScoreAtClock, ScoreScaling } from "../../bench/runs/score.ts";
import { formatMilli, formatNumber } from "../../html/format.ts";
import { Note } from "../../html/note.tsx";
import { type Column, Table } from "../../html/table.tsx";
import { useClockUnit } from "../kit/clockUnit.ts";
import { paths } from "../paths.ts";
import { isLine } from "./plots.ts";
import { foundWords } from "./words.ts";

const withEnds = (value: number | null, ends: readonly [number, number] | null, digits: number) => (
  <>
    {formatNumber(value, digits)}
    {ends === null ? null : (
      <>
        <br />
        <span class="quiet">
          {formatNumber(ends[0], digits)} to {formatNumber(ends[1], digits)}
        </span>
      </>
    )}
  </>
);

const efficiencyColumns = (
  buildId: string,
  rows: readonly Efficiency[],
  clockUnit: string,
): readonly Column<Efficiency>[] => {
  const hasScores = rows.some(({ scorePerW }) => scorePerW !== null);
  return [
    {
      head: "Clock",
      unit: clockUnit,
      strong: true,
      cell: ({ clockMhz, voltageMv }) => (
        <a href={paths.attempts(buildId, { clockMhz, voltageMv })}>{formatNumber(clockMhz)}</a>
      ),
    },
    { head: "Voltage", unit: "V set", cell: ({ voltageMv }) => formatMilli(voltageMv) },
    { head: "Power", unit: "W", strong: true, cell: ({ powerW }) => formatNumber(powerW, 0) },
    {
      head: "Clock per watt",
      unit: clockUnit === "MHz" ? "MHz/W, 95 %" : `${clockUnit} per W, 95 %`,
      cell: ({ mhzPerW, mhzPerWEnds }) => withEnds(mhzPerW, mhzPerWEnds, 1),
    },
    ...(hasScores
      ? [
          {
            head: "Score per watt",
            unit: "95 %",
            cell: ({ scorePerW, scorePerWEnds }: Efficiency) =>
              withEnds(scorePerW, scorePerWEnds, scorePerW !== null && scorePerW < 10 ? 2 : 0),
          },
        ]
      : []),
    { head: "Runs", cell: ({ runs }) => String(runs) },
  ];
};

export const EfficiencyTable = ({ buildId, rows }: { buildId: string; rows: readonly Efficiency[] }) => (
  <Table
    id="efficiency"
    caption="What each setting gives for its power"
    columns={efficiencyColumns(buildId, rows, useClockUnit())}
    rows={rows.toReversed()}
  />
);

type LineRow = PowerAccount["loadLines"][number];
const readAtWords = { chip: "the chip", board: "the board", probe: "a probe" } as const;

const lineColumns: readonly Column<LineRow>[] = [
  { head: "Firmware setting", words: true, cell: ({ setting }) => setting ?? "not noted" },
  {
    head: "Load-line, mV per A",
    strong: true,
    words: true,
    cell: (line) => (isLine(line) ? foundWords(line.milliohm, "mΩ") : line.unknown),
  },
  {
    head: "Without current",
    words: true,
    cell: (line) => (isLine(line) ? foundWords(line.offsetMv, "mV") : ""),
  },
  {
    head: "Read at",
    words: true,
    cell: ({ readAt }) => readAtWords[(readAt ?? "") as keyof typeof readAtWords] ?? "not noted",
  },
  { head: "Readings", cell: (line) => (isLine(line) ? String(line.readings) : "") },
];

export const LoadLineTable = ({ rows }: { rows: readonly LineRow[] }) => (
  <Table id="load-lines" caption="Load-lines" columns={lineColumns} rows={rows} />
);

const scoreColumnsFor = (clockUnit: string): readonly Column<ScoreAtClock>[] => [
  { head: "Clock", unit: clockUnit, strong: true, cell: ({ clockMhz }) => formatNumber(clockMhz) },
  { head: "Score", strong: true, cell: ({ score }) => formatNumber(score, score < 100 ? 1 : 0) },
  {
    head: "Nine runs in ten",
    words: true,
    cell: ({ dependable, score }) =>
      dependable === null
        ? "under three runs"
        : `${dependable <= score ? "at least" : "at most"} ${formatNumber(dependable, dependable < 100 ? 1 : 0)}`,
  },
  { head: "Runs", cell: ({ runs }) => String(runs) },
];

/** What the clock brings, and what to look at where a higher one did worse. */
export const Scores = ({ score }: { score: ScoreScaling }) => {
  const clockUnit = useClockUnit();
  return (
    <>
      <p class="lead">{score.words}</p>
      {score.falls
        .filter(({ isBeyondScatter }) => isBeyondScatter !== false)
        .map(({ fromMhz, toMhz, check, isBeyondScatter }) => (
          <Note key={toMhz} kind="plain">
            <p>
              {formatNumber(toMhz)} {clockUnit} scored worse than {formatNumber(fromMhz)} {clockUnit}
              {isBeyondScatter === null ? ", from single runs" : ", beyond scatter"}. To check:
            </p>
            <ul>
              {check.map((one) => (
                <li key={one}>{one}</li>
              ))}
            </ul>
          </Note>
        ))}
      <Table
        id="scores"
        narrow="across"
        caption="Scores by clock"
        columns={scoreColumnsFor(clockUnit)}
        rows={score.byClock.toReversed()}
      />
    </>
  );
};
