import { type BuildAnswer, settingOf } from "../../answers/answerOf.ts";
import { offsetsInWords, stateInWords } from "../../bench/best/answerWords.ts";
import { chanceInWords } from "../../bench/next/nextWords.ts";
import type { OffsetAnswer } from "../../bench/scale/offsetAnswer.ts";
import type { Build } from "../../bench/things/build.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { ChartFigure, ChartLinks } from "../../html/chartFigure.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry } from "../../html/entry.tsx";
import { ChoiceField, Fields } from "../../html/field.tsx";
import { formatCount, formatMilli, formatNumber, unknownMark } from "../../html/format.ts";
import type { Plot } from "../../html/plot.ts";
import { PlotKey, PlotSvg } from "../../html/plotSvg.tsx";
import { Moment } from "../../html/quantity.tsx";
import { type Column, Rows, Table } from "../../html/table.tsx";
import { answerMarks } from "../kit/answerTold.tsx";
import { offsetsSpan, SettingInWords } from "../kit/settingWords.tsx";
import { standsOn } from "../kit/standsOn.ts";
import { paths } from "../paths.ts";

export type BuildRow = Readonly<{
  build: Build;
  chipName: string;
  clockUnit: Chip["clockUnit"];
  /** Which way an offset gets harder; null where the chip has none. */
  harder: NonNullable<Chip["offset"]>["harder"] | null;
  boardName: string;
  basedOnName: string | null;
  /** Null where what it stands on cannot be found. */
  answer: BuildAnswer | null;
  attempts: number;
  lastAt: string | null;
}>;

export type BuildsShown = Readonly<{
  rows: readonly BuildRow[];
  more: string | null;
  isFirst: boolean;
  /** Where to ask for the answers that are still being worked out; null where there are none. */
  later: string | null;
  /** What each build holds over voltage, in one picture; null where nothing is held. */
  plot: Plot | null;
}>;

/** By clock or by offset. */
const answeredIn = ({ answer }: BuildRow) => answer && settingOf(answer);

const chanceOf = (row: BuildRow): string => {
  const chance = answeredIn(row)?.chance ?? null;
  return chance === null ? unknownMark : chanceInWords(chance);
};

/** How far the search is, in the words that the build's own page has for it. */
const Left = ({ row: { build, answer } }: { row: BuildRow }) => {
  if (answer === null) return <>{unknownMark}</>;
  if (answer.reckoning) return <>being worked out</>;
  if (answer.state === "done") return <>{stateInWords.done}</>;
  const { nearer } = answer;
  return (
    <a href={paths.bench({ build: build.id })}>
      {stateInWords[answer.state]}
      {nearer === null ? "" : `, about ${nearer.minutes} min`}
    </a>
  );
};

/** How much is on record, and until when. */
const Record = ({ row: { attempts, lastAt } }: { row: BuildRow }) => (
  <>
    {formatNumber(attempts)}
    <span class="on-narrow"> {attempts === 1 ? "attempt" : "attempts"}</span>
    {lastAt === null ? null : (
      <span class="quiet">
        <br />
        <span class="on-narrow">last </span>
        <Moment at={lastAt} form="day" />
      </span>
    )}
  </>
);

/** Each in the unit of its chip, on a phone by its row: builds of several chips stand here. */
const Clock = ({ setting, clockUnit }: Pick<BuildAnswer, "setting"> & Pick<BuildRow, "clockUnit">) => (
  <>
    {formatNumber(setting?.clockMhz)}
    {setting === null ? null : <span class="unit on-wide"> {clockUnit}</span>}
  </>
);

/** Of what it is made and from what it was changed, each unless the other or its own name says the same. */
function madeOf({
  build,
  chipName,
  boardName,
  basedOnName,
}: Pick<BuildRow, "build" | "chipName" | "boardName" | "basedOnName">) {
  const parts = standsOn(build.name, chipName, boardName);
  const based = basedOnName === null ? null : `${basedOnName}: ${build.change ?? "no change stated"}`;
  return [parts === basedOnName ? null : parts, based].filter((words) => words !== null).join("; ");
}

const columns: readonly Column<BuildRow>[] = [
  {
    head: "Build",
    words: true,
    cell: ({ build, chipName, boardName, basedOnName }) => (
      <>
        <a href={paths.build(build.id)}>
          <b>{build.name}</b>
        </a>
        <br />
        <span class="quiet">{madeOf({ build, chipName, boardName, basedOnName })}</span>
      </>
    ),
  },
  {
    head: "Answer",
    strong: true,
    cell: ({ build, answer, clockUnit }) =>
      answer === null ? (
        unknownMark
      ) : (
        <span {...answerMarks({ buildId: build.id, answer })}>
          {(answer.byOffset && offsetsTold(answer.byOffset)) ?? (
            <Clock setting={answer.setting} clockUnit={clockUnit} />
          )}
        </span>
      ),
    unitOf: ({ answer, clockUnit }) => (answer?.setting ? clockUnit : ""),
  },
  { head: "at", unit: "V", cell: ({ answer }) => formatMilli(answer?.setting?.voltageMv) },
  { head: "Its hours pass", cell: chanceOf },
  {
    head: "To spare",
    unit: "°C",
    cell: (row) => formatNumber(answeredIn(row)?.marginC ?? null, 0),
  },
  { head: "Left", words: true, cell: (row) => <Left row={row} /> },
  { head: "Attempts", unit: "last", unitOf: () => "", words: true, cell: (row) => <Record row={row} /> },
];

const tableOf = ({ rows, more }: BuildsShown) => ({
  columns,
  rows,
  more: more === null ? null : { href: more, title: "More builds" },
});

/** The next rows alone, for a swap. */
export const BuildRows = ({ shown }: { shown: BuildsShown }) => <Rows {...tableOf(shown)} />;

/** Of the chip that comes first, which stands in most builds. */
const furthestOf = (rows: readonly BuildRow[]): BuildRow | undefined => rows.find((row) => answeredIn(row));

const Heading = ({ rows }: { rows: readonly BuildRow[] }) => {
  const best = furthestOf(rows);
  if (!best?.answer) return <>{formatCount(rows.length, "build")}, no setting to run yet</>;
  const { byOffset, setting: byClock } = best.answer;
  const setting = byClock ? (
    <SettingInWords {...byClock} units={{ clockUnit: best.clockUnit, offset: null }} />
  ) : (
    byOffset && offsetsTold(byOffset)
  );
  const ofChip = rows.filter(({ build }) => build.chipId === best.build.chipId);
  const isKnownOfAll = ofChip.every((row) => !row.answer?.reckoning || answeredIn(row) !== null);
  return ofChip.length > 1 ? (
    <>
      {isKnownOfAll ? "Furthest" : "Furthest so far"}: {best.build.name}, {setting}
    </>
  ) : (
    <>
      {best.build.name}: run {setting}
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

/** What each build is to run, for a page that did not wait for all of them. */
export const BuildsPiece = ({ shown }: { shown: BuildsShown }) => (
  <div id="build-answers">
    <Entry aside={<p>each for what it is after</p>}>
      <Answer heading={<Heading rows={shown.rows} />}>
        Each ran where it stands, and its hours pass as often as its use asks.
      </Answer>
      {shown.later ? <span data-later={shown.later} /> : null}
    </Entry>
    {shown.plot ? (
      <Entry aside={<ChartLinks name="held" table="builds" />}>
        <ChartFigure
          name="held"
          kind="plot"
          legend={<PlotKey plot={shown.plot} />}
          caption="What each holds by its rule."
        >
          <PlotSvg plot={shown.plot} />
        </ChartFigure>
      </Entry>
    ) : null}
    <Entry>
      <div class="builds">
        <Table id="builds" caption="Builds and what to run on each" {...tableOf(shown)} />
      </div>
    </Entry>
  </div>
);

/** Every build, and which goes furthest. */
export const BuildsPage = ({ frame, shown }: { frame: Frame; shown: BuildsShown }) => {
  const { rows, isFirst } = shown;
  return (
    <Document title="Builds" frame={frame} {...(shown.plot ? { charts: { held: shown.plot } } : {})}>
      {rows.length === 0 && isFirst ? (
        <Empty />
      ) : (
        <>
          <BuildsPiece shown={shown} />
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

/** One offset as it is, a list in short; null where a part has no answer yet. */
const offsetsTold = (byOffset: OffsetAnswer) => {
  const { offsets, unit } = byOffset;
  const words = offsetsInWords(byOffset);
  if (words === null || offsets === null) return words;
  return (
    <span class="quantity" title={words}>
      {offsetsSpan(offsets, unit)}
    </span>
  );
};
