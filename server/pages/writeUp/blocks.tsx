import type {
  TableBlock as AccountTable,
  Block,
  Heading,
  Paragraph,
  PictureBlock,
} from "../../bench/writeUp/block.ts";
import { ChartFigure } from "../../html/chartFigure.tsx";
import { PhoneFold } from "../../html/entry.tsx";
import { IntervalSvg } from "../../html/intervalSvg.tsx";
import { Note } from "../../html/note.tsx";
import { extentsOf } from "../../html/plot.ts";
import { PlotKey, PlotSvg } from "../../html/plotSvg.tsx";
import { Unbroken } from "../../html/quantity.tsx";
import { type Column, Table } from "../../html/table.tsx";
import { paths } from "../paths.ts";
import type { ChartDrawn } from "./charts.ts";

export type Charts = ReadonlyMap<string, ChartDrawn>;

export const BlockView = ({ block, charts }: { block: Block; charts: Charts }) => {
  switch (block.as) {
    case "heading":
      return <HeadingView block={block} />;
    case "paragraph":
      return <Words block={block} />;
    case "list":
      return (
        <ul class="prose told">
          {block.items.map((item) => (
            <li key={item}>
              <Unbroken words={item} />
            </li>
          ))}
        </ul>
      );
    case "table":
      return <TableView table={block} />;
    case "chart":
      return <ChartView name={block.name} caption={block.caption} chart={charts.get(block.name)} />;
    case "picture":
      return <PictureView picture={block} />;
  }
};

const HeadingView = ({ block: { level, words } }: { block: Heading }) =>
  level === 1 ? <h1>{words}</h1> : level === 2 ? <h2>{words}</h2> : <h3>{words}</h3>;

/** A blank line parts paragraphs, as whoever types them means it. */
const partsOf = (words: string): readonly string[] =>
  words.split(/\n\s*\n/).filter((part) => part.trim() !== "");

const Words = ({ block }: { block: Paragraph }) => {
  const { words, tone, isStale, replaces } = block;
  const parts = partsOf(words);
  return (
    <>
      {tone === "caution" ? (
        <Note>
          {parts.map((part) => (
            <p key={part}>{part}</p>
          ))}
        </Note>
      ) : (
        parts.map((part) => (
          <p key={part} class={tone === "answer" ? "lead" : "prose told"}>
            {part}
          </p>
        ))
      )}
      {isStale ? (
        <div class="no-print">
          <Note kind="plain">
            <p>
              <b>These words are older than the journal.</b>{" "}
              {replaces ? `It says now: ${replaces}` : "It says nothing here any more."}
            </p>
          </Note>
        </div>
      ) : null}
    </>
  );
};

const columnsOf = ({ columns }: AccountTable): readonly Column<readonly string[]>[] =>
  columns.map(({ words, unit, holds }, i) => ({
    head: words,
    ...(unit === null ? {} : { unit }),
    words: holds === "words",
    cell: (row) => row[i],
  }));

const longFrom = 4;

/** On a phone a long table of figures keeps its rows on one line each and is read across: as small lists it would bury the rest. */
const isReadAcross = ({ columns, rows }: AccountTable): boolean =>
  rows.length >= longFrom && columns.filter(({ holds }) => holds === "words").length <= 1;

/** As small lists on a phone so many rows bury what comes after them. */
const foldedFrom = 6;

const TableView = ({ table }: { table: AccountTable }) => {
  const isAcross = isReadAcross(table);
  const whole = (
    <Table
      id={`table-${table.name}`}
      caption={table.caption}
      captionShown
      columns={columnsOf(table)}
      rows={table.rows}
      {...(isAcross && { narrow: "across" as const })}
    />
  );
  return (
    <div class="account-table">
      {isAcross || table.rows.length < foldedFrom ? (
        whole
      ) : (
        <PhoneFold title={firstClause(table.caption)}>{whole}</PhoneFold>
      )}
    </div>
  );
};

/** A caption's first clause names the table well enough. */
const firstClause = (caption: string): string => (/^[^;:.]+/.exec(caption)?.[0] ?? caption).trim();

type ChartProps = Readonly<{ name: string; caption: string; chart: ChartDrawn | undefined }>;

const ChartView = ({ name, caption, chart }: ChartProps) => {
  if (chart === undefined) return null;
  if (chart.kind === "intervals")
    return chart.rows.length === 0 ? null : (
      <ChartFigure name={name} kind="still" caption={caption} narrow={<IntervalSvg {...chart} narrow />}>
        <IntervalSvg {...chart} />
      </ChartFigure>
    );
  const { plot } = chart;
  if (extentsOf(plot) === undefined) return null;
  return (
    <ChartFigure
      name={name}
      kind="still"
      caption={caption}
      legend={<PlotKey plot={plot} />}
      narrow={<PlotSvg plot={plot} width={360} height={320} />}
    >
      <PlotSvg plot={plot} height={360} />
    </ChartFigure>
  );
};

const PictureView = ({ picture: { id, caption, widthPx, heightPx } }: { picture: PictureBlock }) => (
  <figure class="picture">
    <img src={paths.pictureImage(id)} width={widthPx} height={heightPx} alt={caption} />
    <figcaption>{caption}</figcaption>
  </figure>
);
