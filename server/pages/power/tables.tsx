import type { Efficiency } from "../../bench/power/efficiency.ts";
import type { PowerAccount } from "../../bench/power/powerAccount.ts";
import type { ScoreAtClock, ScoreScaling } from "../../bench/runs/score.ts";
import { formatMilli, formatNumber } from "../../html/format.ts";
import { Note } from "../../html/note.tsx";
import { type Column, Table } from "../../html/table.tsx";
import { paths } from "../paths.ts";
import { isLine } from "./plots.ts";
import { foundWords } from "./words.ts";

const efficiencyColumns = (buildId: string, rows: readonly Efficiency[]): readonly Column<Efficiency>[] => {
  const hasScores = rows.some(({ scorePerW }) => scorePerW !== null);
  return [
    {
      head: "Clock",
      unit: "MHz",
      strong: true,
      cell: ({ clockMhz, voltageMv }) => (
        <a href={paths.attempts(buildId, { clockMhz, voltageMv })}>{formatNumber(clockMhz)}</a>
      ),
    },
    { head: "Voltage", unit: "V set", cell: ({ voltageMv }) => formatMilli(voltageMv) },
    { head: "Power", unit: "W", strong: true, cell: ({ powerW }) => formatNumber(powerW, 0) },
    { head: "Clock per watt", unit: "MHz/W", cell: ({ mhzPerW }) => formatNumber(mhzPerW, 1) },
    ...(hasScores
      ? [
          {
            head: "Score per watt",
            cell: ({ scorePerW }: Efficiency) =>
              formatNumber(scorePerW, scorePerW !== null && scorePerW < 10 ? 2 : 0),
          },
        ]
      : []),
    { head: "Runs", cell: ({ runs }) => String(runs) },
  ];
};

export const EfficiencyTable = ({ buildId, rows }: { buildId: string; rows: readonly Efficiency[] }) => (
  <Table
    id="efficiency"
    narrow="across"
    caption="What each setting gives for its power"
    columns={efficiencyColumns(buildId, rows)}
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

const scoreColumns: readonly Column<ScoreAtClock>[] = [
  { head: "Clock", unit: "MHz", strong: true, cell: ({ clockMhz }) => formatNumber(clockMhz) },
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
export const Scores = ({ score }: { score: ScoreScaling }) => (
  <>
    <p class="lead">{score.words}</p>
    {score.falls
      .filter(({ isBeyondScatter }) => isBeyondScatter !== false)
      .map(({ fromMhz, toMhz, check, isBeyondScatter }) => (
        <Note key={toMhz} kind="plain">
          <p>
            {formatNumber(toMhz)} MHz scored worse than {formatNumber(fromMhz)} MHz
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
      columns={scoreColumns}
      rows={score.byClock.toReversed()}
    />
  </>
);
