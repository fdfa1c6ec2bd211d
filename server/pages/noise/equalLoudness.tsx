import type { EqualNoise, HeatCurve } from "../../bench/comparison/heatOverNoise.ts";
import { equalNoiseWords } from "../../bench/comparison/heatOverNoise.ts";
import type { BudgetLine } from "../../bench/comparison/verdict.ts";
import type { Build } from "../../bench/things/build.ts";
import { ChartFigure, ChartLinks } from "../../html/chartFigure.tsx";
import { Entry, Fold, PhoneFold } from "../../html/entry.tsx";
import { formatNumber, formatSigned } from "../../html/format.ts";
import { Missing } from "../../html/note.tsx";
import type { Layer, Plot } from "../../html/plot.ts";
import { PlotKey, PlotSvg } from "../../html/plotSvg.tsx";
import { type Column, Table } from "../../html/table.tsx";
import { type Look, looks, looksApart } from "../kit/buildLooks.ts";
import { conditionWords, type NoiseShown } from "./shown.ts";

function layersOf(name: string, { points }: HeatCurve, look: Look): readonly Layer[] {
  return [
    {
      as: "line",
      tone: look.tone,
      points: points.map((point) => [point.noiseDba, point.riseC]),
      label: name,
    },
    {
      as: "marks",
      tone: look.tone,
      shape: look.shape,
      marks: points.map((point) => ({
        x: point.noiseDba,
        y: point.riseC,
        words: `${name}: ${formatNumber(point.riseC, 1)} °C over the room at ${point.isUpperBound ? "most " : ""}${formatNumber(point.noiseDba, 1)} dB(A), ${formatNumber(point.fanRpm, 0)} rpm`,
      })),
    },
  ];
}

/** Temperature against loudness, a line for each build. */
export function equalNoisePlot(
  { id, name }: Pick<Build, "id" | "name">,
  { curve, others }: EqualNoise,
  builds: readonly Build[],
): Plot {
  const drawn = [{ id, name, curve }, ...others.slice(0, looks.length - 1)];
  const apart = looksApart(
    builds,
    drawn.map((one) => one.id),
  );
  return {
    title: "Temperature over the room against loudness",
    x: { label: `loudness at ${formatNumber(curve.distanceM)} m`, unit: "dB(A)" },
    y: { label: "over the room", unit: "°C" },
    layers: drawn.flatMap((one, n) => layersOf(one.name, one.curve, apart[n]!)),
  };
}

type Row = Readonly<{
  name: string;
  noiseDba: number;
  ownC: number;
  otherC: number;
  differenceC: number;
}>;

const columnsOf = (own: string): readonly Column<Row>[] => [
  { head: "Loudness", unit: "dB(A)", strong: true, cell: ({ noiseDba }) => formatNumber(noiseDba, 1) },
  { head: "Against", words: true, cell: ({ name }) => name },
  { head: "Difference", unit: "°C", strong: true, cell: ({ differenceC }) => formatSigned(differenceC, 1) },
  { head: own, unit: "°C", cell: ({ ownC }) => formatNumber(ownC, 1) },
  { head: "The other", unit: "°C", cell: ({ otherC }) => formatNumber(otherC, 1) },
];

const budgetColumns: readonly Column<BudgetRow>[] = [
  { head: "Against", words: true, cell: ({ name }) => name },
  { head: "Source", words: true, cell: ({ source }) => source },
  { head: "This one", unit: "°C", cell: ({ a }) => formatNumber(a, 2) },
  { head: "The other", unit: "°C", cell: ({ b }) => formatNumber(b, 2) },
  { head: "From", words: true, cell: ({ from }) => from },
];

type BudgetRow = BudgetLine & Readonly<{ name: string }>;

/** What the intervals are made of. */
const Doubt = ({ equalNoise: { others } }: { equalNoise: EqualNoise }) => {
  const rows = others.flatMap(({ name, interval }) =>
    (interval?.budget ?? []).map((line) => ({ ...line, name })),
  );
  return rows.length === 0 ? null : (
    <Fold title="What makes up the intervals">
      <Table caption="What makes up the intervals at equal loudness" columns={budgetColumns} rows={rows} />
    </Fold>
  );
};

/** The fairest comparison of coolers and cases: how hot each runs where both are equally loud. */
export const EqualLoudness = ({ shown, plot }: { shown: NoiseShown; plot: Plot | null }) => {
  const { answer } = shown;
  const { equalNoise, build } = answer;
  if (answer.readings.length === 0) return null;
  if (equalNoise === null || plot === null)
    return (
      <Entry>
        <h2>At equal loudness</h2>
        <Missing>
          <p>
            Read it at two fan speeds or more under one load, each within a quarter of an hour of a run that
            has levelled out with its fan speed noted. Temperature then stands against loudness here, which is
            the fairest way to compare coolers and cases.
          </p>
        </Missing>
      </Entry>
    );
  const rows = equalNoise.others.flatMap(({ name, at }) =>
    at.points.map((point) => ({
      name,
      noiseDba: point.noiseDba,
      ownC: point.aRiseC,
      otherC: point.bRiseC,
      differenceC: point.differenceC,
    })),
  );
  return (
    <Entry
      aside={
        <ChartLinks name="equal-loudness" {...(rows.length > 0 ? { table: "equal-loudness-table" } : {})} />
      }
    >
      <h2>At equal loudness</h2>
      {equalNoise.others.map((other) => (
        <p key={other.id} class="lead">
          {equalNoiseWords(build.name, other.name, other)}
        </p>
      ))}
      <ChartFigure
        name="equal-loudness"
        kind="plot"
        legend={<PlotKey plot={plot} />}
        caption={`Under ${conditionWords(equalNoise.curve, shown)}, each mark a fan speed. Lower and further left is better.`}
      >
        <PlotSvg plot={plot} />
      </ChartFigure>
      {rows.length > 0 ? (
        <>
          <PhoneFold title="In figures">
            <Table
              id="equal-loudness-table"
              caption="Temperature over the room at equal loudness"
              columns={columnsOf(build.name)}
              rows={rows}
            />
          </PhoneFold>
          <p class="prose quiet">
            Differences are the other's less this one's, read straight between neighbouring fan speeds.
          </p>
          <Doubt equalNoise={equalNoise} />
        </>
      ) : (
        <p class="prose">
          No other build was read at two fan speeds under this load and at this distance yet.
        </p>
      )}
    </Entry>
  );
};
