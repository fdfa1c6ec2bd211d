import { renderToString } from "preact-render-to-string";
import { describe, expect, it } from "vitest";
import { type Column, Rows, Table } from "../../server/html/table.tsx";

type Row = Readonly<{ name: string; held: number | null }>;
const columns: readonly Column<Row>[] = [
  { head: "Build", words: true, cell: ({ name }) => name },
  { head: "Held", unit: "MHz", strong: true, cell: ({ held }) => held },
];
const rows: readonly Row[] = [
  { name: "Open <frame>", held: 4800 },
  { name: "Cupboard", held: null },
];

describe("Table", () => {
  const html = renderToString(<Table caption="What each holds" columns={columns} rows={rows} />);

  it("is captioned and its columns are headed, unit and all", () => {
    expect(html).toContain('<caption class="unseen">What each holds</caption>');
    expect(html).toContain('scope="col"');
    expect(html).toContain('Held<span class="unit">MHz</span>');
  });

  it("repeats head and unit at each cell for a screen too narrow for columns", () => {
    expect(html).toMatch(/<td class="strong" data-head="Held" data-unit="MHz"[^>]*>4800<\/td>/);
  });

  it("stays a table when its rows are laid out as blocks", () => {
    for (const role of ["table", "rowgroup", "row", "columnheader", "cell"])
      expect(html).toContain(`role="${role}"`);
  });

  it("scrolls in a region of its own that the keyboard reaches", () => {
    expect(html).toMatch(/<section class="across" aria-label="What each holds" tabindex="0">/);
  });

  it("marks an empty cell and lets nothing in a cell become markup", () => {
    expect(html).toContain('class="strong empty"');
    expect(html).toContain("Open &lt;frame>");
  });
});

describe("Rows", () => {
  it("are the same rows alone, for a swap that adds to them", () => {
    const table = renderToString(
      <Table caption="x" columns={columns} rows={rows} rowId={(row) => `r-${row.name}`} />,
    );
    const alone = renderToString(<Rows columns={columns} rows={rows} rowId={(row) => `r-${row.name}`} />);
    expect(alone).toMatch(/^<tr id="r-/);
    expect(table).toContain(alone);
  });

  it("gives a cell its own unit, or none", () => {
    const own = (unit: string) =>
      renderToString(
        <Table
          caption="Own"
          columns={[{ head: "Held", unit: "MHz", unitOf: () => unit, cell: () => "48" }]}
          rows={[1]}
        />,
      );
    expect(own("MT/s")).toContain('data-unit="MT/s"');
    expect(own("")).not.toContain("data-unit");
  });
});
