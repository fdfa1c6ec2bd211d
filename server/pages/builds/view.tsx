import type { FrontierPoint } from "../../bench/frontier/frontierPoint.ts";
import type { Build } from "../../bench/things/build.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry } from "../../html/entry.tsx";
import { ChoiceField, Fields } from "../../html/field.tsx";
import { formatCount, formatMilli, formatNumber, unknownMark } from "../../html/format.ts";
import { Moment } from "../../html/quantity.tsx";
import { type Column, Rows, Table } from "../../html/table.tsx";
import { Setting } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";

export type BuildRow = Readonly<{
  build: Build;
  chipName: string;
  boardName: string;
  basedOnName: string | null;
  /** Where it goes furthest by its own rule; null where nothing holds. */
  top: Readonly<{ point: FrontierPoint; heldMhz: number }> | null;
  attempts: number;
  lastAt: string | null;
}>;

export type BuildsShown = Readonly<{ rows: readonly BuildRow[]; more: string | null; isFirst: boolean }>;

const columns: readonly Column<BuildRow>[] = [
  {
    head: "Build",
    words: true,
    cell: ({ build, chipName, boardName }) => (
      <>
        <a href={paths.build(build.id)}>
          <b>{build.name}</b>
        </a>
        <br />
        <span class="quiet">
          {chipName} on {boardName}
        </span>
      </>
    ),
  },
  { head: "Held", unit: "MHz", strong: true, cell: ({ top }) => formatNumber(top?.heldMhz) },
  { head: "at", unit: "V", cell: ({ top }) => formatMilli(top?.point.voltageMv) },
  {
    head: "Change",
    words: true,
    cell: ({ build, basedOnName }) =>
      basedOnName === null ? "" : `${basedOnName}: ${build.change ?? "no change stated"}`,
  },
  { head: "Attempts", cell: ({ attempts }) => formatNumber(attempts) },
  {
    head: "Last",
    words: true,
    cell: ({ lastAt }) => (lastAt ? <Moment at={lastAt} form="day" /> : unknownMark),
  },
];

const tableOf = ({ rows, more }: BuildsShown) => ({
  columns,
  rows,
  more: more === null ? null : { href: more, title: "More builds" },
});

/** The next rows alone, for a swap. */
export const BuildRows = ({ shown }: { shown: BuildsShown }) => <Rows {...tableOf(shown)} />;

const furthestOf = (rows: readonly BuildRow[]) =>
  rows.reduce<BuildRow | undefined>(
    (best, row) => (row.top && (!best?.top || row.top.heldMhz > best.top.heldMhz) ? row : best),
    undefined,
  );

const Heading = ({ rows }: { rows: readonly BuildRow[] }) => {
  const best = furthestOf(rows);
  const isOneChip = new Set(rows.map(({ build }) => build.chipId)).size === 1;
  if (!best?.top) return <>{formatCount(rows.length, "build")}, nothing held by its rule yet</>;
  const setting = <Setting clockMhz={best.top.heldMhz} voltageMv={best.top.point.voltageMv} />;
  return rows.length > 1 && isOneChip ? (
    <>
      {best.build.name} goes furthest: {setting}
    </>
  ) : (
    <>
      {best.build.name} holds {setting}
    </>
  );
};

const CompareForm = ({ rows }: { rows: readonly BuildRow[] }) => {
  const choices = rows.map(({ build }) => ({ value: build.id, title: build.name }));
  return (
    <form method="get" action={paths.compare()}>
      <Fields>
        <ChoiceField name="a" label="This build" choices={choices} value={choices[0]?.value} required />
        <ChoiceField name="b" label="against" choices={choices} value={choices[1]?.value} required />
      </Fields>
      <Act>
        <Button first letter="c">
          Compare them
        </Button>
        <ButtonLink href={paths.newBuild()} letter="n">
          Write down a build
        </ButtonLink>
      </Act>
    </form>
  );
};

const Empty = () => (
  <Entry>
    <Answer heading="No build is written down yet">
      A build is one chip on one board with its cooler, case and fans. Write it down and the first attempt can
      begin.
    </Answer>
    <Act>
      <ButtonLink href={paths.newBuild()} first letter="n">
        Write down a build
      </ButtonLink>
    </Act>
  </Entry>
);

/** Every build, and which goes furthest. */
export const BuildsPage = ({ frame, shown }: { frame: Frame; shown: BuildsShown }) => {
  const { rows, isFirst } = shown;
  return (
    <Document title="Builds" frame={frame}>
      {rows.length === 0 && isFirst ? (
        <Empty />
      ) : (
        <>
          <Entry aside={<p>each by its own rule</p>}>
            <Answer heading={<Heading rows={rows} />}>
              A clock counts as held when it passed by the rule and no crash is recorded at that or an easier
              setting.
            </Answer>
          </Entry>
          <Entry>
            <Table caption="Builds and what they hold" {...tableOf(shown)} />
          </Entry>
          <Entry>
            <h2>{rows.length > 1 ? "Two of them side by side" : "Another build"}</h2>
            {rows.length > 1 ? (
              <CompareForm rows={rows} />
            ) : (
              <Act>
                <ButtonLink href={paths.newBuild()} first letter="n">
                  Write down a build
                </ButtonLink>
              </Act>
            )}
          </Entry>
        </>
      )}
    </Document>
  );
};
