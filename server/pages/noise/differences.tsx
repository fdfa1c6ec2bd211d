import type { LoudnessRow } from "../../bench/comparison/loudness.ts";
import { standingTogether } from "../../bench/comparison/together.ts";
import { aloneWords, type Verdict, verdictWords } from "../../bench/comparison/verdict.ts";
import { ChartFigure, ChartLinks } from "../../html/chartFigure.tsx";
import { Entry, Fold, PhoneFold } from "../../html/entry.tsx";
import { formatCount, formatNumber, formatSigned } from "../../html/format.ts";
import { type IntervalRow, IntervalSvg } from "../../html/intervalSvg.tsx";
import { type Column, Table } from "../../html/table.tsx";
import { paths } from "../paths.ts";
import { conditionWords, type NoiseShown } from "./shown.ts";

type Row = Readonly<{
  ownId: string;
  buildId: string;
  name: string;
  row: LoudnessRow;
  /** Whether it differs with all builds judged together. */
  stands: boolean;
}>;

/** Of many builds that are equally loud some differ by themselves: those are not said to. */
const verdictIn = ({ row, stands }: Row, words: Readonly<Record<Verdict, string>>): string =>
  row.verdict === "differs" && !stands ? aloneWords : words[row.verdict];

const rangeOf = ({ low, high }: LoudnessRow): string => {
  if (low === null && high === null) return "";
  if (low === null) return `at most ${formatNumber(high, 1)}`;
  if (high === null) return `at least ${formatNumber(low, 1)}`;
  return `${formatNumber(low, 1)} to ${formatNumber(high, 1)}`;
};

/** A difference that is not shown to be there is not said to be heard. */
const listenerWords = ({ row: { words, difference }, stands }: Row): string =>
  stands || Math.abs(difference) < 1 ? words : `if it is real: ${words}`;

const columnsOf = (own: string): readonly Column<Row>[] => [
  {
    head: "Build",
    words: true,
    cell: ({ ownId, buildId, name }) => <a href={paths.compare({ a: ownId, b: buildId })}>{name}</a>,
  },
  {
    head: "Difference",
    unit: "dB(A)",
    strong: true,
    cell: ({ row }) => formatSigned(row.difference, 1),
  },
  { head: "95 %", unit: "dB(A)", cell: ({ row }) => rangeOf(row) },
  { head: "To a listener", words: true, cell: listenerWords },
  { head: "Verdict", words: true, cell: (row) => verdictIn(row, verdictWords) },
  {
    head: "At",
    unit: "m",
    cell: ({ row }) => (row.distanceM === null ? "1, worked out" : formatNumber(row.distanceM)),
  },
  { head: own, unit: "dB(A)", cell: ({ row }) => formatNumber(row.a, 1) },
  { head: "The other", unit: "dB(A)", cell: ({ row }) => formatNumber(row.b, 1) },
];

const underColumn = (shown: NoiseShown): Column<Row> => ({
  head: "Under",
  words: true,
  cell: ({ row }) => conditionWords(row, shown),
});

const shortly = { ...verdictWords, "within-scatter": "within scatter" };

const drawn = (told: Row): IntervalRow => {
  const { name, row, stands } = told;
  return {
    label: name,
    scale: "dB(A)",
    value: row.difference,
    low: row.low,
    high: row.high,
    words: `${formatSigned(row.difference, 1)} dB(A)${rangeOf(row) ? ` (${rangeOf(row)})` : ""}`,
    verdict: verdictIn(told, shortly),
    decided: stands,
  };
};

const mostDrawn = 10;

/** The condition that most builds share is the one to draw. */
function drawnRows(rows: readonly Row[]): readonly Row[] {
  const keyOf = ({ row }: Row): string => `${row.workloadId} ${row.clockMhz} ${row.voltageMv}`;
  const counts = new Map<string, number>();
  for (const row of rows) counts.set(keyOf(row), (counts.get(keyOf(row)) ?? 0) + 1);
  const loudest = (key: string): number =>
    Math.max(...rows.filter((row) => keyOf(row) === key).map(({ row }) => row.a));
  const [first] = [...counts].sort(([a, n], [b, m]) => m - n || loudest(b) - loudest(a));
  return rows.filter((row) => keyOf(row) === first?.[0]);
}

/** What the reader must know of these rows, each said once. */
const Notes = ({ rows }: { rows: readonly Row[] }) => (
  <Fold title="What to know of these differences">
    {[...new Set(rows.flatMap(({ row }) => row.notes))].map((note) => (
      <p key={note}>{note}</p>
    ))}
    <p>
      What a difference means to a listener is common practice, not measured here: 1 dB goes unnoticed, 3 dB
      is just noticed, 10 dB sounds about twice as loud.
    </p>
  </Fold>
);

/** Each other build that was read under the same condition, with what an ear makes of it. */
export const Differences = ({ shown }: { shown: NoiseShown }) => {
  const { answer } = shown;
  const standing = standingTogether(answer.against.flatMap(({ rows: of }) => of));
  const rows: readonly Row[] = answer.against
    .flatMap(({ build, rows: of }) =>
      of.map((row) => ({
        ...{ ownId: answer.build.id, buildId: build.id, name: build.name, row },
        stands: standing.has(row),
      })),
    )
    .sort((first, second) => Math.abs(second.row.difference) - Math.abs(first.row.difference));
  if (rows.length === 0) return null;
  const picture = drawnRows(rows);
  const others = rows.filter((row) => !picture.includes(row));
  const intervals = picture.slice(0, mostDrawn).map(drawn);
  const title = `Loudness of other builds less ${answer.build.name}, with 95 % intervals`;
  const under = picture[0] ? conditionWords(picture[0].row, shown) : "";
  return (
    <Entry
      aside={
        <>
          <p>each less {answer.build.name}, 95 %</p>
          <ChartLinks name="loudness" table="loudness-table" />
        </>
      }
    >
      <h2>Beside other builds</h2>
      <ChartFigure
        name="loudness"
        kind="still"
        caption={`Under ${under}. Bar: where the difference may lie. Hollow: not decided, all builds judged together.`}
        narrow={<IntervalSvg title={title} rows={intervals} nothing="equally loud" narrow />}
      >
        <IntervalSvg title={title} rows={intervals} nothing="equally loud" />
      </ChartFigure>
      <PhoneFold title="In figures">
        <Table
          id="loudness-table"
          caption={`Differences in loudness under ${under}`}
          columns={columnsOf(answer.build.name)}
          rows={picture}
        />
      </PhoneFold>
      <Notes rows={picture} />
      {others.length > 0 ? (
        <Fold title={`Under other conditions: ${formatCount(others.length, "difference")}`}>
          <Table
            caption="Differences in loudness under other conditions"
            columns={[...columnsOf(answer.build.name), underColumn(shown)]}
            rows={others}
          />
          <Notes rows={others} />
        </Fold>
      ) : null}
    </Entry>
  );
};
