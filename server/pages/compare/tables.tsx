import type { ComponentChildren } from "preact";
import type { JudgedClock } from "../../bench/comparison/clockApart.ts";
import type { LoudnessRow } from "../../bench/comparison/loudness.ts";
import type { JudgedOffsets, SameOffsetRow } from "../../bench/comparison/offsetsApart.ts";
import type { SameSettingRow } from "../../bench/comparison/sameSetting.ts";
import type { SameVoltageRow } from "../../bench/comparison/sameVoltage.ts";
import { type JudgedTogether, judgedBy } from "../../bench/comparison/together.ts";
import type { BudgetLine, Verdict } from "../../bench/comparison/verdict.ts";
import type { UnitOfClock } from "../../bench/things/words.ts";
import { Fold } from "../../html/entry.tsx";
import { formatMilli, formatNumber, formatSigned, unknownMark } from "../../html/format.ts";
import { type Column, Table } from "../../html/table.tsx";
import { useClockUnit } from "../kit/clockUnit.ts";
import { paths } from "../paths.ts";
import { digitsOf, measureLabel, rangeOf, settingLabel, verdictLabel } from "./rows.ts";

export type Pair = Readonly<{
  a: Readonly<{ id: string; name: string }>;
  b: Readonly<{ id: string; name: string }>;
}>;

const Behind = ({
  of,
  clockMhz,
  voltageMv,
  words,
}: {
  of: Pair["a"];
  clockMhz: number;
  voltageMv: number;
  words: string;
}) => (
  <a
    href={paths.attempts(of.id, { clockMhz, voltageMv })}
    aria-label={`${words}: the attempts of ${of.name} at ${formatNumber(clockMhz)} ${useClockUnit()} at ${formatMilli(voltageMv)} V`}
  >
    {words}
  </a>
);

/** By a clock and a voltage attempts are found again; by an offset all are shown. */
const BehindRow = ({ of, row, words }: { of: Pair["a"]; row: SameSettingRow; words: string }) =>
  row.clockMhz === null || row.voltageMv === null ? (
    <a href={paths.attempts(of.id)} aria-label={`${words}: the attempts of ${of.name}`}>
      {words}
    </a>
  ) : (
    <Behind of={of} clockMhz={row.clockMhz} voltageMv={row.voltageMv} words={words} />
  );

const HeldLink = ({ of, mhz, voltageMv }: { of: Pair["a"]; mhz: number | null; voltageMv: number }) =>
  mhz === null ? (
    unknownMark
  ) : (
    <Behind of={of} clockMhz={mhz} voltageMv={voltageMv} words={formatNumber(mhz)} />
  );

type Together = Readonly<{ together: readonly JudgedTogether[] }>;

type Apart = Readonly<{ low: number | null; high: number | null; verdict: Verdict }>;

type ToldOf<Row> = Readonly<{
  /** What each build holds there. */
  heldByA: (row: Row) => ComponentChildren;
  heldByB: (row: Row) => ComponentChildren;
  heldApart: (row: Row) => number | null;
  limitsApart: (row: Row) => number | null;
}>;

/** What both hold and how far apart that and their limits are, in one unit. */
const apartColumns = <Row extends Apart>(
  { a, b }: Pair,
  unit: string,
  { heldByA, heldByB, heldApart, limitsApart }: ToldOf<Row>,
  verdictIn: (verdict: Verdict) => string,
): readonly Column<Row>[] => [
  { head: a.name, unit: `${unit} held`, cell: heldByA },
  { head: b.name, unit: `${unit} held`, cell: heldByB },
  { head: "Held apart", unit, wide: true, cell: (row) => formatSigned(heldApart(row)) },
  {
    head: "Limits apart",
    unit: `${unit}, 95 %`,
    cell: (row) =>
      limitsApart(row) === null ? (
        ""
      ) : (
        <>
          {formatSigned(limitsApart(row), 0)}
          <Under>{rangeOf(row, 0)}</Under>
        </>
      ),
  },
  { head: "Verdict", words: true, cell: ({ verdict }) => verdictIn(verdict) },
];

const voltageColumns = (
  pair: Pair,
  clockUnit: string,
  { together }: Together,
): readonly Column<SameVoltageRow>[] => [
  { head: "Voltage", unit: "V", cell: ({ voltageMv }) => formatMilli(voltageMv) },
  ...apartColumns<SameVoltageRow>(
    pair,
    clockUnit,
    {
      heldByA: ({ aMhz, voltageMv }) => <HeldLink of={pair.a} mhz={aMhz} voltageMv={voltageMv} />,
      heldByB: ({ bMhz, voltageMv }) => <HeldLink of={pair.b} mhz={bMhz} voltageMv={voltageMv} />,
      heldApart: ({ differenceMhz }) => differenceMhz,
      limitsApart: ({ limitsApartMhz }) => limitsApartMhz,
    },
    (verdict) => verdictLabel({ measure: "clock", place: null, verdict }, together),
  ),
];

export const SameVoltageTable = ({
  pair,
  rows,
  clock,
  together,
}: Together & {
  pair: Pair;
  rows: readonly SameVoltageRow[];
  clock: JudgedClock;
}) => (
  <>
    <Table
      id="same-voltage"
      caption={`Clock at the same voltage, ${pair.b.name} less ${pair.a.name}`}
      columns={voltageColumns(pair, useClockUnit(), { together })}
      rows={rows.toReversed()}
    />
    <Fold title="How the limits were judged">
      <p>{clock.because}</p>
    </Fold>
  </>
);

/** Whether there are parts to tell apart, or the chip is set as a whole. */
export const hasParts = ({ rows }: Pick<JudgedOffsets, "rows">): boolean =>
  rows.some(({ part }) => part !== null);

const offsetColumns = (
  pair: Pair,
  offsets: JudgedOffsets,
  { together }: Together,
): readonly Column<SameOffsetRow>[] => [
  ...(hasParts(offsets)
    ? [{ head: "Part", words: true, cell: ({ part }: SameOffsetRow) => part ?? "the chip" }]
    : []),
  ...apartColumns<SameOffsetRow>(
    pair,
    offsets.axis.unit,
    {
      heldByA: ({ a }) => formatSigned(a),
      heldByB: ({ b }) => formatSigned(b),
      heldApart: ({ difference }) => difference,
      limitsApart: (row) => row.limitsApart,
    },
    (verdict) => verdictLabel({ measure: "offset", place: null, verdict }, together),
  ),
];

/** Part by part where there are some, in the unit that the chips are set in. */
export const SameOffsetTable = ({
  pair,
  offsets,
  together,
}: Together & { pair: Pair; offsets: JudgedOffsets }) => (
  <>
    <Table
      id="same-voltage"
      caption={`${offsets.axis.name}${hasParts(offsets) ? " part by part" : ""}, ${pair.b.name} less ${pair.a.name}; harder is ${offsets.axis.harder === "up" ? "more" : "less"}`}
      columns={offsetColumns(pair, offsets, { together })}
      rows={offsets.rows}
    />
    <Fold title="How the limits were judged">
      <p>{offsets.because}</p>
    </Fold>
  </>
);

const figure = (row: SameSettingRow, value: number): string => formatNumber(value, digitsOf(row));

const Under = ({ children }: { children: string }) =>
  children === "" ? null : (
    <>
      <br />
      <span class="quiet">{children}</span>
    </>
  );

const counts = ([a, b]: readonly [number, number]): string => `${a} · ${b}`;

const settingColumns = (
  { a, b }: Pair,
  loads: ReadonlyMap<string, string>,
  clockUnit: UnitOfClock,
  { together }: Together,
): readonly Column<SameSettingRow>[] => [
  {
    head: "Measure",
    words: true,
    cell: (row) => (
      <>
        {measureLabel(row)}
        <br />
        <span class="quiet">
          {row.unit ? `${row.unit} · ` : ""}
          {loads.get(row.workloadId)}, {settingLabel(row, clockUnit)}
        </span>
      </>
    ),
  },
  { head: a.name, cell: (row) => <BehindRow of={a} row={row} words={figure(row, row.a)} /> },
  { head: b.name, cell: (row) => <BehindRow of={b} row={row} words={figure(row, row.b)} /> },
  {
    head: "Difference, 95\u00a0%",
    cell: (row) => (
      <>
        <b>
          {formatSigned(row.difference, digitsOf(row))} {row.unit}
        </b>
        <Under>{rangeOf(row, digitsOf(row))}</Under>
      </>
    ),
  },
  {
    head: "Runs, mounts",
    wide: true,
    cell: ({ runs, mounts }) => (
      <>
        {counts(runs)}
        <Under>{counts(mounts)}</Under>
      </>
    ),
  },
  {
    head: "Verdict",
    words: true,
    cell: (row) => verdictLabel({ ...judgedBy(row), verdict: row.verdict }, together),
  },
];

export const SameSettingTable = ({
  pair,
  rows,
  loads,
  caption,
  together,
}: Together & {
  pair: Pair;
  rows: readonly SameSettingRow[];
  loads: ReadonlyMap<string, string>;
  caption: string;
}) => (
  <Table caption={caption} columns={settingColumns(pair, loads, useClockUnit(), { together })} rows={rows} />
);

const noiseColumns = (
  { a, b }: Pair,
  loads: ReadonlyMap<string, string>,
  { together }: Together,
): readonly Column<LoudnessRow>[] => [
  {
    head: "Under",
    words: true,
    cell: ({ workloadId }) => (workloadId === null ? "no load named" : loads.get(workloadId)),
  },
  {
    head: "At",
    unit: "m",
    cell: ({ distanceM }) => (distanceM === null ? "1, worked out" : formatNumber(distanceM)),
  },
  { head: a.name, unit: "dB(A)", cell: (row) => formatNumber(row.a, 1) },
  { head: b.name, unit: "dB(A)", cell: (row) => formatNumber(row.b, 1) },
  {
    head: "Difference, 95\u00a0%",
    unit: "dB(A)",
    cell: (row) => (
      <>
        <b>{formatSigned(row.difference, 1)}</b>
        <Under>{rangeOf(row, 1)}</Under>
      </>
    ),
  },
  {
    head: "Verdict",
    words: true,
    cell: (row) => verdictLabel({ ...judgedBy(row), verdict: row.verdict }, together),
  },
  { head: "To a listener", words: true, cell: ({ words }) => words },
];

export const NoiseTable = ({
  pair,
  rows,
  loads,
  together,
}: Together & {
  pair: Pair;
  rows: readonly LoudnessRow[];
  loads: ReadonlyMap<string, string>;
}) => (
  <>
    <Table
      caption="Loudness with the background taken out"
      columns={noiseColumns(pair, loads, { together })}
      rows={rows}
    />
    <Fold title="What to know of these levels">
      {[...new Set(rows.flatMap(({ notes }) => notes))].map((note) => (
        <p key={note}>{note}</p>
      ))}
    </Fold>
  </>
);

const budgetColumns = ({ a, b }: Pair): readonly Column<BudgetLine>[] => [
  {
    head: "Source",
    words: true,
    cell: ({ source, counted }) => (counted ? source : `${source} (in another line)`),
  },
  { head: a.name, cell: (line) => formatNumber(line.a, 2) },
  { head: b.name, cell: (line) => formatNumber(line.b, 2) },
  { head: "From", words: true, cell: ({ from }) => <span class="quiet">{from}</span> },
];

/** What makes up an interval, line by line. */
export const BudgetFold = ({ pair, row }: { pair: Pair; row: SameSettingRow }) => {
  const half = row.low === null || row.high === null ? null : (row.high - row.low) / 2;
  return (
    <Fold
      title={
        half === null
          ? "What is known of the scatter"
          : `What makes up the ±${formatNumber(half, digitsOf(row))} ${row.unit}`
      }
    >
      <p class="quiet">
        {measureLabel(row)}, {settingLabel(row, useClockUnit())}; standard uncertainties in {row.unit}
      </p>
      <Table caption="Uncertainty budget" columns={budgetColumns(pair)} rows={row.budget} />
      {row.notes.map((note) => (
        <p key={note}>{note}</p>
      ))}
    </Fold>
  );
};
