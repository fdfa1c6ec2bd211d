import type { ComponentChildren } from "preact";

export type Column<Row> = Readonly<{
  head: string;
  unit?: string;
  /** Words stand left and wrap; all else is a figure. */
  words?: boolean;
  /** The figure the eye should find. */
  strong?: boolean;
  /** Left out where rows become small lists, or there only. */
  wide?: boolean;
  narrow?: boolean;
  /** Where a cell's own unit is another than its column's; empty where it has none. */
  unitOf?: (row: Row) => string;
  cell: (row: Row, index: number) => ComponentChildren;
}>;

type Props<Row> = Readonly<{
  caption: string;
  /** Where a heading above says the same, the caption is for those who hear the page. */
  captionShown?: boolean;
  columns: readonly Column<Row>[];
  rows: readonly Row[];
  rowId?: (row: Row) => string;
  marked?: (row: Row) => boolean;
  /** On a narrow screen rows become small lists, unless their columns must be read across. */
  narrow?: "list" | "across";
  id?: string;
  /** Where the rows after these are to be had. */
  more?: Readonly<{ href: string; title: string }> | null;
}>;

/** Roles are written out because a narrow screen lays rows out as blocks, which would otherwise unmake the table. */
const as = {
  table: { role: "table" },
  rowgroup: { role: "rowgroup" },
  row: { role: "row" },
  columnheader: { role: "columnheader" },
  cell: { role: "cell" },
} as const;

const columnClass = <Row,>(column: Column<Row>): string | undefined =>
  [column.words ? "words" : column.strong ? "strong" : "", column.narrow ? "narrow" : ""]
    .filter(Boolean)
    .join(" ") || undefined;

/** What is said in words has no unit behind it. */
const unitIn = <Row,>({ unit, unitOf }: Column<Row>, row: Row, content: ComponentChildren) =>
  typeof content === "string" && !/\d/.test(content)
    ? undefined
    : (unitOf === undefined ? unit : unitOf(row)) || undefined;

const Head = <Row,>({ column }: { column: Column<Row> }) => (
  <th scope="col" class={columnClass(column)} {...as.columnheader}>
    {column.head}
    {column.unit ? <span class="unit">{column.unit}</span> : null}
  </th>
);

const isEmpty = (content: ComponentChildren): boolean =>
  content === "" || content === null || content === undefined || content === false;

const Cell = <Row,>({ column, row, index }: { column: Column<Row>; row: Row; index: number }) => {
  const content = column.cell(row, index);
  const classes = [columnClass(column) ?? "", isEmpty(content) ? "empty" : "", column.wide ? "wide" : ""]
    .filter(Boolean)
    .join(" ");
  return (
    <td
      class={classes || undefined}
      data-head={column.head}
      data-unit={unitIn(column, row, content)}
      {...as.cell}
    >
      {content}
    </td>
  );
};

type RowsProps<Row> = Pick<Props<Row>, "columns" | "rows" | "rowId" | "marked" | "more">;

/** A last row that leads to the next ones: a link, which a swap puts in its place. */
const MoreRow = ({ href, title, across }: { href: string; title: string; across: number }) => (
  <tr id="more-rows" class="more" {...as.row}>
    <td class="words" colspan={across} {...as.cell}>
      <a class="button" href={href} hx-get={href} hx-target="#more-rows" hx-swap="outerHTML">
        {title}
      </a>
    </td>
  </tr>
);

/** The rows alone, for a swap that adds to them. */
export const Rows = <Row,>({ columns, rows, rowId, marked, more }: RowsProps<Row>) => (
  <>
    {rows.map((row, index) => (
      <tr
        key={rowId?.(row) ?? index}
        id={rowId?.(row)}
        class={marked?.(row) ? "marked" : undefined}
        {...as.row}
      >
        {columns.map((column) => (
          <Cell key={column.head} column={column} row={row} index={index} />
        ))}
      </tr>
    ))}
    {more ? <MoreRow {...more} across={columns.length} /> : null}
  </>
);

export const Table = <Row,>({ caption, captionShown, columns, narrow = "list", id, ...rows }: Props<Row>) => {
  const table = (
    <table class={narrow === "list" ? "ruled list" : "ruled"} id={id} {...as.table}>
      <caption class={captionShown ? undefined : "unseen"}>{caption}</caption>
      <thead {...as.rowgroup}>
        <tr {...as.row}>
          {columns.map((column) => (
            <Head key={column.head} column={column} />
          ))}
        </tr>
      </thead>
      <tbody {...as.rowgroup}>
        <Rows columns={columns} {...rows} />
      </tbody>
    </table>
  );
  return (
    // A region that scrolls must be reachable by keyboard.
    <section class="across" aria-label={caption} tabindex={0}>
      {table}
    </section>
  );
};
