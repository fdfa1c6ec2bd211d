import type { ComponentChildren } from "preact";
import type { Board } from "../../bench/things/board.ts";
import type { Chip } from "../../bench/things/chip.ts";
import type { Rule } from "../../bench/things/rule.ts";
import { clockWords } from "../../bench/things/words.ts";
import type { Workload } from "../../bench/things/workload.ts";
import { Act, ButtonLink } from "../../html/act.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry, PhoneFold } from "../../html/entry.tsx";
import { formatCount, formatDuration, formatList, formatMilli, formatNumber } from "../../html/format.ts";
import { Missing, RefusalNote } from "../../html/note.tsx";
import { type Column, Table } from "../../html/table.tsx";
import type { Refused } from "../kit/forms.ts";
import { type Gone, GoneNotice } from "../kit/goneNotice.tsx";
import { type PartPath, paths } from "../paths.ts";
import type { PartsShown, PartUse, Used } from "./partUses.ts";
import { Samples } from "./samples.tsx";

type Props = Readonly<{ frame: Frame; shown: PartsShown; gone: Gone | null; refused: Refused | null }>;

export const PartsPage = ({ frame, shown, gone, refused }: Props) => (
  <Document title="Parts" frame={frame}>
    <Entry>
      <Answer heading="What builds are made of">{inventory(shown)}</Answer>
      <RefusalNote refused={refused} />
      <GoneNotice gone={gone} />
    </Entry>
    <Section
      path="chips"
      heading="Chips"
      one="chip"
      why="the sample under test, with its limits"
      count={shown.chips.length}
    >
      <Table caption="Chips" columns={chipColumns(shown.chips)} rows={shown.chips} />
    </Section>
    <Samples models={shown.models} />
    <Section path="boards" heading="Boards" one="board" why="what feeds the chip" count={shown.boards.length}>
      <Table caption="Boards" columns={boardColumns} rows={shown.boards} />
    </Section>
    <Builds shown={shown} />
    <Section
      path="workloads"
      heading="Loads"
      one="load"
      why="what loads the chip, under a name of your own"
      neededBy="An attempt"
      count={shown.workloads.length}
    >
      <Table caption="Loads" columns={workloadColumns} rows={shown.workloads} />
    </Section>
    <Section
      path="rules"
      heading="Acceptance rules"
      one="acceptance rule"
      why="what must have passed before a setting counts"
      count={shown.rules.length}
    >
      <Table caption="Acceptance rules" columns={ruleColumns(shown.workloads)} rows={shown.rules} />
    </Section>
  </Document>
);

const inventory = ({ chips, boards, builds, workloads, rules }: PartsShown): string =>
  chips.length + boards.length + workloads.length === 0
    ? "Nothing is written down yet. Begin with a chip and a board; the rule below always exists."
    : `The journal knows ${formatList([
        formatCount(chips.length, "chip"),
        formatCount(boards.length, "board"),
        formatCount(builds.length, "build"),
        formatCount(workloads.length, "load"),
        formatCount(rules.length, "acceptance rule"),
      ])}.`;

type SectionProps = Readonly<{
  path: PartPath;
  heading: string;
  one: string;
  why: string;
  neededBy?: string;
  count: number;
  children: ComponentChildren;
}>;

/** On a phone, where a row takes a few lines, so many bury what comes after them. */
const foldedFrom = 5;

const Section = ({ path, heading, one, why, neededBy = "A build", count, children }: SectionProps) => (
  <Entry id={path} aside={<p>{why}</p>}>
    <h2>{heading}</h2>
    {count >= foldedFrom ? (
      <PhoneFold title={formatCount(count, one)}>{children}</PhoneFold>
    ) : count > 0 ? (
      children
    ) : (
      <Missing>{`None yet. ${neededBy} needs one; write it down and go on from there.`}</Missing>
    )}
    <Act>
      <ButtonLink href={paths.newPart(path)}>{`Add ${/^[aeiou]/.test(one) ? "an" : "a"} ${one}`}</ButtonLink>
    </Act>
  </Entry>
);

const Builds = ({ shown: { builds, chips, boards } }: { shown: PartsShown }) => (
  <Entry id="builds" aside={<p>one chip on one board, with everything around them</p>}>
    <h2>Builds</h2>
    {builds.length > 0 ? (
      <p class="prose">
        {builds.slice(0, 12).map((build, i) => (
          <>
            {i > 0 ? "; " : ""}
            <a href={paths.build(build.id)}>{build.name}</a>
          </>
        ))}
        {builds.length > 12 ? " and " : ". "}
        <a href={paths.builds()}>{builds.length > 12 ? `${builds.length - 12} more` : "All of them"}</a>
        {builds.length > 12 ? "." : ""}
      </p>
    ) : (
      <Missing>
        {chips.length > 0 && boards.length > 0
          ? "None yet. Put a chip on a board, and attempts can be recorded."
          : "None yet. A build needs a chip and a board first."}
      </Missing>
    )}
    {chips.length > 0 && boards.length > 0 ? (
      <Act>
        <ButtonLink href={paths.newBuild()} first={builds.length === 0}>
          Add a build
        </ButtonLink>
      </Act>
    ) : null}
  </Entry>
);

type NamedThing = Readonly<{ id: string; name: string; note?: string }>;

const nameColumn = (path: PartPath): Column<Used<NamedThing>> => ({
  head: "Name",
  words: true,
  cell: ({ thing }) => (
    <>
      <a href={paths.part(path, thing.id)}>{thing.name}</a>
      {thing.note ? (
        <div class="unit">{thing.note.length > 90 ? `${thing.note.slice(0, 88)}…` : thing.note}</div>
      ) : null}
    </>
  ),
});

const usesColumn: Column<Used<unknown>> = {
  head: "Used by",
  words: true,
  cell: ({ uses }) => (uses.length === 0 ? "nothing yet" : <Uses uses={uses} />),
};

/** The first few, and how many more. */
export const Uses = ({ uses }: { uses: readonly PartUse[] }) => (
  <>
    {uses.slice(0, 4).map(({ words, href }, i) => (
      <>
        {i > 0 ? "; " : ""}
        {href === null ? words : <a href={href}>{words}</a>}
      </>
    ))}
    {uses.length > 4 ? ` and ${uses.length - 4} more` : ""}
  </>
);

const known = (value: number | null, written: (value: number) => string): string =>
  value === null ? "" : written(value);

const chipColumns = (chips: readonly Used<Chip>[]): readonly Column<Used<Chip>>[] => {
  const [unit = "MHz", ...others] = new Set(chips.map(({ thing }) => thing.clockUnit));
  const written = ({ clockUnit }: Chip, clock: number): string =>
    others.length === 0 ? formatNumber(clock) : clockWords(clock, clockUnit);
  return [
    nameColumn("chips") as Column<Used<Chip>>,
    { head: "Limit", unit: "°C", cell: ({ thing }) => formatNumber(thing.tempLimitC) },
    { head: "Ceiling", unit: "V", cell: ({ thing }) => known(thing.voltageCeilingMv, formatMilli) },
    {
      head: "Stock",
      ...(others.length === 0 ? { unit } : {}),
      cell: ({ thing }) => known(thing.stockClockMhz, (clock) => written(thing, clock)),
    },
    usesColumn as Column<Used<Chip>>,
  ];
};

const boardColumns: readonly Column<Used<Board>>[] = [
  nameColumn("boards") as Column<Used<Board>>,
  { head: "Form", words: true, cell: ({ thing }) => thing.formFactor },
  { head: "Phases", cell: ({ thing }) => known(thing.corePhases, formatNumber) },
  { head: "Each", unit: "A", cell: ({ thing }) => known(thing.phaseRatingA, formatNumber) },
  usesColumn as Column<Used<Board>>,
];

const workloadColumns: readonly Column<Used<Workload>>[] = [
  nameColumn("workloads") as Column<Used<Workload>>,
  { head: "Kind", words: true, cell: ({ thing }) => thing.kind },
  { head: "Severity", cell: ({ thing }) => known(thing.severity, formatNumber) },
  usesColumn as Column<Used<Workload>>,
];

const ruleColumns = (workloads: readonly Used<Workload>[]): readonly Column<Used<Rule>>[] => {
  const names = new Map(workloads.map(({ thing }) => [thing.id, thing.name]));
  return [
    nameColumn("rules") as Column<Used<Rule>>,
    { head: "Requires", words: true, cell: ({ thing }) => requiresWords(thing, names) },
    usesColumn as Column<Used<Rule>>,
  ];
};

const requiresWords = ({ requires }: Rule, names: ReadonlyMap<string, string>): string =>
  formatList(
    requires.map(({ workloadId, durationS, correctedErrors, coldStarts, trainings, cycles }) =>
      [
        `${workloadId === null ? "any load" : (names.get(workloadId) ?? "a load")} for ${formatDuration(durationS)}`,
        correctedErrors === 0 ? "no corrected errors" : "",
        coldStarts ? formatCount(coldStarts, "cold start") : "",
        trainings ? formatCount(trainings, "full training") : "",
        cycles ? `${formatCount(cycles, "cycle")} in each` : "",
      ]
        .filter(Boolean)
        .join(", "),
    ),
  );
