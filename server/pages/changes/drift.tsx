import type { BuildDrift } from "../../answers/driftOfChip.ts";
import { type BenchDrift, controlTag } from "../../bench/comparison/control.ts";
import { verdictWords } from "../../bench/comparison/verdict.ts";
import { measureTraits } from "../../bench/runs/comparedRun.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { ChartFigure, ChartLinks } from "../../html/chartFigure.tsx";
import { Entry } from "../../html/entry.tsx";
import { formatCount, formatNumber, formatSigned, unknownMark } from "../../html/format.ts";
import { Missing } from "../../html/note.tsx";
import type { Plot } from "../../html/plot.ts";
import { PlotSvg } from "../../html/plotSvg.tsx";
import { type Column, Table } from "../../html/table.tsx";
import type { LoadNames } from "../kit/attemptTable.tsx";
import { settingWords } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";

const dayMs = 86_400_000;

/** The control runs' daily means; undefined under three days, where the sentence says as much. */
export function driftPlot(drift: BenchDrift | null): Plot | undefined {
  const first = drift?.days[0];
  if (!drift || !first || drift.days.length < 3) return undefined;
  const since = (day: string): number => (Date.parse(day) - Date.parse(first.day)) / dayMs;
  const points = drift.days.map(({ day, mean }) => [since(day), mean] as const);
  const { words } = measureTraits[drift.measure];
  return {
    title: `Control runs day by day: ${words}`,
    x: { label: `since ${first.day}`, unit: "days" },
    y: { label: words, unit: drift.unit },
    layers: [
      { as: "rule", axis: "y", at: first.mean, tone: "quiet", label: "first day" },
      { as: "line", tone: "lead", points },
      {
        as: "marks",
        tone: "lead",
        shape: "dot",
        marks: drift.days.map(({ day, mean, runs }) => ({
          x: since(day),
          y: mean,
          words: `${day}: ${formatNumber(mean, 1)} ${drift.unit}, ${formatCount(runs, "run")}`,
        })),
      },
    ],
  };
}

const rangeOf = ({ low, high, unit }: BenchDrift): string =>
  low === null || high === null
    ? ""
    : `${formatNumber(low, digitsOf(unit))} to ${formatNumber(high, digitsOf(unit))}`;

/** No fan is counted to a tenth of a turn, no clock to a tenth of a step. */
const digitsOf = (unit: string): number => (["rpm", "MHz", "MT/s"].includes(unit) ? 0 : 1);

const columns: readonly Column<BenchDrift>[] = [
  { head: "Measure", words: true, cell: ({ measure }) => measureTraits[measure].words },
  {
    head: "Last day less first",
    strong: true,
    cell: ({ difference, unit }) =>
      difference === null ? unknownMark : `${formatSigned(difference, digitsOf(unit))} ${unit}`,
  },
  { head: "95 %", cell: rangeOf },
  { head: "Days", cell: ({ days }) => String(days.length) },
  {
    head: "Days scatter by",
    cell: ({ dayScatter, unit }) =>
      dayScatter === null
        ? unknownMark
        : `${formatNumber(dayScatter.standardDeviation, digitsOf(unit))} ${unit}`,
  },
  {
    head: "So",
    words: true,
    cell: ({ verdict, remounted }) =>
      remounted ? "remounted between" : verdict === "differs" ? "drifted" : verdictWords[verdict],
  },
];

/** Of the builds after the first one: what they are all told in is not said again. */
const inShort = (words: string): string =>
  words.replace(/^The bench has /, "").replace(" from the first day to the last", "");

/** Whether the bench itself has moved: one known setting, run again on every bench day. */
export const DriftSection = ({
  drifts,
  loads,
  chip,
}: {
  drifts: readonly BuildDrift[];
  loads: LoadNames;
  chip: Chip;
}) => {
  const [told, ...others] = drifts;
  if (told === undefined || told.telling === null)
    return (
      <Entry id="drift">
        <h2>Has the bench drifted?</h2>
        <Missing>
          <p>
            Run one known setting on every bench day, twice, and tag it “{controlTag}”: then it shows whether
            the room, the paste or a sensor has moved meanwhile.
          </p>
        </Missing>
      </Entry>
    );
  const { build, control, telling } = told;
  const plot = driftPlot(telling);
  return (
    <Entry
      id="drift"
      aside={
        <>
          <p>
            <a href={paths.attempts(build.id, { clockMhz: control.clockMhz, voltageMv: control.voltageMv })}>
              {formatCount(control.runs, "control run")}
            </a>{" "}
            of {build.name} on {formatCount(control.days, "day")}
          </p>
          {plot ? <ChartLinks name="drift" table="drift-table" /> : null}
        </>
      }
    >
      <h2>Has the bench drifted?</h2>
      <p class="lead">
        {telling.words} <span class="quiet">By {measureTraits[telling.measure].words}.</span>
      </p>
      <p class="prose quiet">
        The control is {settingWords(control, chip)} under {loads.get(control.workloadId) ?? "its load"},{" "}
        {control.tagged
          ? `as tagged “${controlTag}”.`
          : `the setting repeated on most days; tag the runs you mean “${controlTag}” to say otherwise.`}
      </p>
      {plot ? (
        <ChartFigure name="drift" kind="plot" caption="Each mark the mean of a day's control runs.">
          <PlotSvg plot={plot} />
        </ChartFigure>
      ) : null}
      <Table
        id="drift-table"
        caption="Control runs, measure by measure"
        columns={columns}
        rows={told.drifts}
      />
      {others
        .filter((other) => other.telling !== null && other.telling.days.length >= 2)
        .map((other) => (
          <p key={other.build.id} class="prose">
            <b>{other.build.name}</b>: {inShort(other.telling?.words ?? "")}
          </p>
        ))}
    </Entry>
  );
};
