import type { LoudnessRow } from "../../bench/comparison/loudness.ts";
import type { SameSettingRow } from "../../bench/comparison/sameSetting.ts";
import type { Bracket, SameVoltageRow } from "../../bench/comparison/sameVoltage.ts";
import type { BudgetLine } from "../../bench/comparison/verdict.ts";
import { Fold } from "../../html/entry.tsx";
import { formatMilli, formatNumber, formatRange, formatSigned, unknownMark } from "../../html/format.ts";
import { type Column, Table } from "../../html/table.tsx";
import { settingWords } from "../kit/settingWords.tsx";
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
    aria-label={`${words}: the attempts of ${of.name} at ${settingWords({ clockMhz, voltageMv })}`}
  >
    {words}
  </a>
);

const HeldLink = ({ of, mhz, voltageMv }: { of: Pair["a"]; mhz: number | null; voltageMv: number }) =>
  mhz === null ? (
    unknownMark
  ) : (
    <Behind of={of} clockMhz={mhz} voltageMv={voltageMv} words={formatNumber(mhz)} />
  );

const bracketWords = (bracket: Bracket | null): string => {
  if (bracket === null) return "never tried";
  const { atLeastMhz, atMostMhz } = bracket;
  if (atLeastMhz !== null && atMostMhz !== null) return formatRange(atLeastMhz, atMostMhz);
  const parts = [
    atLeastMhz === null ? "" : `at least ${formatNumber(atLeastMhz)}`,
    atMostMhz === null ? "" : `at most ${formatNumber(atMostMhz)}`,
  ];
  return parts.filter(Boolean).join(", ");
};

const voltageColumns = ({ a, b }: Pair): readonly Column<SameVoltageRow>[] => [
  { head: "Voltage", unit: "V", cell: ({ voltageMv }) => formatMilli(voltageMv) },
  {
    head: a.name,
    unit: "MHz held",
    cell: ({ aMhz, voltageMv }) => <HeldLink of={a} mhz={aMhz} voltageMv={voltageMv} />,
  },
  {
    head: b.name,
    unit: "MHz held",
    cell: ({ bMhz, voltageMv }) => <HeldLink of={b} mhz={bMhz} voltageMv={voltageMv} />,
  },
  {
    head: "Difference",
    unit: "MHz, observed",
    strong: true,
    cell: ({ differenceMhz }) => formatSigned(differenceMhz),
  },
  { head: "It may be", unit: "MHz", words: true, cell: ({ bracket }) => bracketWords(bracket) },
  { head: "Fitted limits", unit: "MHz, 95 %", cell: (row) => rangeOf(row, 0) },
  { head: "Verdict", words: true, cell: ({ verdict }) => verdictLabel(verdict) },
];

export const SameVoltageTable = ({ pair, rows }: { pair: Pair; rows: readonly SameVoltageRow[] }) => (
  <Table
    id="same-voltage"
    caption={`Clock at the same voltage, ${pair.b.name} less ${pair.a.name}`}
    columns={voltageColumns(pair)}
    rows={rows.toReversed()}
  />
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
          {loads.get(row.workloadId)}, {settingLabel(row)}
        </span>
      </>
    ),
  },
  { head: a.name, cell: (row) => <Behind of={a} {...row} words={figure(row, row.a)} /> },
  { head: b.name, cell: (row) => <Behind of={b} {...row} words={figure(row, row.b)} /> },
  {
    head: "Difference, 95 %",
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
    cell: ({ runs, mounts }) => (
      <>
        {counts(runs)}
        <Under>{counts(mounts)}</Under>
      </>
    ),
  },
  { head: "Verdict", words: true, cell: ({ verdict }) => verdictLabel(verdict) },
];

export const SameSettingTable = ({
  pair,
  rows,
  loads,
  caption,
}: {
  pair: Pair;
  rows: readonly SameSettingRow[];
  loads: ReadonlyMap<string, string>;
  caption: string;
}) => <Table caption={caption} columns={settingColumns(pair, loads)} rows={rows} />;

const noiseColumns = ({ a, b }: Pair, loads: ReadonlyMap<string, string>): readonly Column<LoudnessRow>[] => [
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
    head: "Difference, 95 %",
    unit: "dB(A)",
    cell: (row) => (
      <>
        <b>{formatSigned(row.difference, 1)}</b>
        <Under>{rangeOf(row, 1)}</Under>
      </>
    ),
  },
  { head: "Verdict", words: true, cell: ({ verdict }) => verdictLabel(verdict) },
  { head: "To a listener", words: true, cell: ({ words }) => words },
];

export const NoiseTable = ({
  pair,
  rows,
  loads,
}: {
  pair: Pair;
  rows: readonly LoudnessRow[];
  loads: ReadonlyMap<string, string>;
}) => (
  <>
    <Table caption="Loudness with the background taken out" columns={noiseColumns(pair, loads)} rows={rows} />
    {[...new Set(rows.flatMap(({ notes }) => notes))].map((note) => (
      <p key={note} class="prose quiet">
        {note}
      </p>
    ))}
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
        {measureLabel(row)}, {settingLabel(row)}; standard uncertainties in {row.unit}
      </p>
      <Table caption="Uncertainty budget" columns={budgetColumns(pair)} rows={row.budget} />
      {row.notes.map((note) => (
        <p key={note}>{note}</p>
      ))}
    </Fold>
  );
};
