import type { Efficiency } from "../../bench/power/efficiency.ts";
import type { OffsetPower } from "../../bench/power/offsetPower.ts";
import type { PowerAccount } from "../../bench/power/powerAccount.ts";
import type { ScoreAtClock, ScoreScaling } from "../../bench/runs/score.ts";
import type { Build } from "../../bench/things/build.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { knobsInWords } from "../../bench/things/timings.ts";
import { formatCount, formatMilli, formatNumber } from "../../html/format.ts";
import { Note } from "../../html/note.tsx";
import { type Column, Table } from "../../html/table.tsx";
import { useClockUnit } from "../kit/clockUnit.ts";
import { offsetsInShort, settingWords } from "../kit/settingWords.tsx";
import { unparted } from "../kit/unparted.ts";
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

type Offsets = Readonly<{
  build: Pick<Build, "id">;
  chip: Chip;
  rows: readonly OffsetPower[];
}>;

/** On a phone a row takes two lines: what was set, and three figures. */
const offsetColumns = ({ build, chip, rows }: Offsets): readonly Column<OffsetPower>[] => {
  const has = (field: keyof OffsetPower): boolean => rows.some((row) => row[field] !== null);
  const knobs: Column<OffsetPower> = {
    head: "Knobs",
    words: true,
    wide: true,
    cell: (row) => (row.knobs === null ? "as usual" : knobsInWords(chip, row.knobs)),
  };
  const clock: Column<OffsetPower> = {
    head: "Clock read",
    unit: chip.clockUnit,
    cell: ({ clockMhz }) => formatNumber(clockMhz, 0),
  };
  return [
    {
      head: chip.offset?.name ?? "Offset",
      words: true,
      strong: true,
      cell: (row) => <OffsetCell buildId={build.id} chip={chip} row={row} />,
    },
    ...(has("knobs") ? [knobs] : []),
    { head: "Power", unit: "W", strong: true, cell: powerCell },
    ...(has("clockMhz") ? [clock] : []),
    ...givenColumns(rows, chip.clockUnit),
    { head: "Runs", wide: true, cell: ({ runs }) => String(runs) },
  ];
};

const OffsetCell = ({
  buildId,
  chip,
  row: { attemptIds, ...row },
}: {
  buildId: string;
  chip: Chip;
  row: OffsetPower;
}) => (
  <>
    <a href={attemptIds.length === 1 ? paths.attempt(attemptIds[0]!) : paths.attempts(buildId)}>
      {row.offsets === null
        ? unparted(settingWords({ ...row, voltageMv: null }, chip))
        : offsetsInShort(row.offsets, chip.offset?.unit)}
    </a>
    {row.knobs === null ? null : <span class="on-narrow">, {knobsInWords(chip, row.knobs)}</span>}
  </>
);

const powerCell = ({ powerW, powerEnds, powerReadings }: OffsetPower) =>
  powerW === null ? (
    formatNumber(null)
  ) : (
    <>
      {formatNumber(powerW, 0)}
      <br />
      <span class="quiet">
        {powerEnds === null
          ? formatCount(powerReadings, "reading")
          : `${formatNumber(powerEnds[0], 0)} to ${formatNumber(powerEnds[1], 0)}`}
      </span>
    </>
  );

/** The score and what of it comes for a watt, on a phone in one cell; the clock for a watt where none was read. */
function givenColumns(rows: readonly OffsetPower[], clockUnit: string): readonly Column<OffsetPower>[] {
  const hasScores = rows.some(({ score }) => score !== null);
  const mostPerW = Math.max(...rows.map(({ scorePerW }) => scorePerW ?? 0));
  const perWatt = ({ scorePerW }: OffsetPower): string =>
    formatNumber(scorePerW, mostPerW < 1 ? 3 : mostPerW < 10 ? 2 : 0);
  const score: Column<OffsetPower> = {
    head: "Score",
    cell: (row) => (
      <>
        {formatNumber(row.score, row.score !== null && row.score < 100 ? 1 : 0)}
        {row.scorePerW === null ? null : (
          <span class="on-narrow">
            <br />
            <span class="quiet">{perWatt(row)} per W</span>
          </span>
        )}
      </>
    ),
  };
  const clockPerWatt: Column<OffsetPower> = {
    head: "Clock per watt",
    unit: clockUnit === "MHz" ? "MHz/W" : `${clockUnit} per W`,
    wide: hasScores,
    cell: ({ mhzPerW }) => formatNumber(mhzPerW, 1),
  };
  return [
    ...(hasScores ? [score] : []),
    ...(mostPerW > 0 ? [{ head: "Score per watt", wide: true, cell: perWatt }] : []),
    ...(mostPerW === 0 && rows.some(({ mhzPerW }) => mhzPerW !== null) ? [clockPerWatt] : []),
  ];
}

export const OffsetTable = (shown: Offsets) => (
  <Table
    id="offsets"
    caption="What each offset draws and gives"
    columns={offsetColumns(shown)}
    rows={shown.rows.toReversed()}
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
