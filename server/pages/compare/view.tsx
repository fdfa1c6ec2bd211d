import type { Comparison } from "../../bench/comparison/comparison.ts";
import { tellingHeat } from "../../bench/comparison/sentence.ts";
import type { FrontierPoint } from "../../bench/frontierPoint.ts";
import type { Rule } from "../../bench/rule.ts";
import type { Workload } from "../../bench/workload.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { ChartFigure, ChartLinks } from "../../html/chartFigure.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry, Fold } from "../../html/entry.tsx";
import { type Choice, ChoiceField, Fields } from "../../html/field.tsx";
import { formatCount } from "../../html/format.ts";
import { IntervalSvg } from "../../html/intervalSvg.tsx";
import { Missing, Note, RefusalNote } from "../../html/note.tsx";
import { extentsOf, type Plot } from "../../html/plot.ts";
import { PlotKey, PlotSvg } from "../../html/plotSvg.tsx";
import type { Refused } from "../forms.ts";
import { stepsLayers } from "../frontierSteps.ts";
import { paths } from "../paths.ts";
import { QuestionForm } from "../questionForm.tsx";
import { intervalRows, tellingRows } from "./rows.ts";
import { BudgetFold, NoiseTable, type Pair, SameSettingTable, SameVoltageTable } from "./tables.tsx";

type Chosen = Readonly<{ a: string | null; b: string | null }>;

const ChooseForm = ({
  choices,
  chosen,
  refused,
}: {
  choices: readonly Choice[];
  chosen: Chosen;
  refused: Refused | null;
}) => (
  <form method="get" action={paths.compare()}>
    <Fields>
      <ChoiceField
        name="a"
        label="This build"
        choices={choices}
        value={chosen.a ?? choices[0]?.value}
        required
        error={refused?.fields.a}
      />
      <ChoiceField
        name="b"
        label="against"
        choices={choices}
        value={chosen.b ?? choices.find(({ value }) => value !== (chosen.a ?? choices[0]?.value))?.value}
        required
        error={refused?.fields.b}
      />
    </Fields>
    <Act>
      <Button first letter="c">
        Compare them
      </Button>
    </Act>
  </form>
);

/** Before two builds are chosen, or where the choice cannot be compared. */
export const ChoosePage = ({
  frame,
  choices,
  chosen,
  refused,
}: {
  frame: Frame;
  choices: readonly Choice[];
  chosen: Chosen;
  refused: Refused | null;
}) => (
  <Document title="Compare" frame={frame}>
    <Entry>
      {choices.length < 2 ? (
        <>
          <Answer heading="It takes two builds to compare">
            {choices.length === 0
              ? "None is written down yet."
              : "One is written down; the second may differ by a single change."}
          </Answer>
          <Act>
            <ButtonLink href={paths.newBuild()} first>
              Write down a build
            </ButtonLink>
          </Act>
        </>
      ) : (
        <>
          <Answer heading="Which two builds?">
            Clocks are compared at the same voltage, temperatures at the same clock, voltage and load.
          </Answer>
          <RefusalNote refused={refused} />
          <ChooseForm choices={choices} chosen={chosen} refused={refused} />
        </>
      )}
    </Entry>
  </Document>
);

export type ComparisonShown = Readonly<{
  pair: Pair;
  sameChip: boolean;
  chipName: string;
  compared: Comparison;
  /** False while the fitted limits are being worked out. */
  isFresh: boolean;
  pointsA: readonly FrontierPoint[];
  pointsB: readonly FrontierPoint[];
  rules: readonly Rule[];
  workloads: readonly Workload[];
  ruleId: string;
  ruleName: string;
  workloadId: string | null;
  choices: readonly Choice[];
}>;

const frontiersPlot = ({ pair, pointsA, pointsB }: ComparisonShown): Plot => ({
  title: `Clock held over core voltage on ${pair.a.name} and ${pair.b.name}`,
  x: { label: "core voltage set", unit: "V" },
  y: { label: "clock held", unit: "MHz" },
  layers: [
    ...stepsLayers(pointsA, "lead", pair.a.name),
    ...marksOf(pointsA, "lead", "dot", pair.a.id),
    ...stepsLayers(pointsB, "second", pair.b.name),
    ...marksOf(pointsB, "second", "square", pair.b.id),
  ],
});

const marksOf = (
  points: readonly FrontierPoint[],
  tone: "lead" | "second",
  shape: "dot" | "square",
  buildId: string,
): Plot["layers"] => [
  {
    as: "marks",
    tone,
    shape,
    marks: points.flatMap(({ heldMhz, voltageMv }) =>
      heldMhz === null
        ? []
        : [
            {
              x: voltageMv / 1000,
              y: heldMhz,
              words: `held ${heldMhz} MHz at ${(voltageMv / 1000).toFixed(3)} V`,
              href: paths.attempts(buildId, { clockMhz: heldMhz, voltageMv }),
            },
          ],
    ),
  },
];

const About = ({ shown }: { shown: ComparisonShown }) => {
  const { pair, sameChip, chipName } = shown;
  return (
    <>
      <b>
        <a href={paths.build(pair.a.id)}>{pair.a.name}</a>
      </b>{" "}
      and{" "}
      <b>
        <a href={paths.build(pair.b.id)}>{pair.b.name}</a>
      </b>
      <p>{sameChip ? `same chip, ${chipName}` : "two samples of the chip"}</p>
      <a href="#others">others</a>
    </>
  );
};

/** The best documented setting of each measure and load; the others a fold away. */
const SameSetting = ({ shown, loads }: { shown: ComparisonShown; loads: ReadonlyMap<string, string> }) => {
  const { pair, compared } = shown;
  const telling = tellingRows(compared.sameSetting);
  const others = compared.sameSetting.filter((row) => !telling.includes(row));
  if (telling.length === 0)
    return (
      <Missing>
        No setting was run on both under the same load. Run both at one clock and voltage to compare them like
        for like.
      </Missing>
    );
  return (
    <>
      <SameSettingTable
        pair={pair}
        rows={telling}
        loads={loads}
        caption="Measures at the same clock, voltage and load"
      />
      {others.length > 0 ? (
        <Fold title={`At other settings: ${formatCount(others.length, "more measure")}`}>
          <SameSettingTable
            pair={pair}
            rows={others}
            loads={loads}
            caption="The same measures at other settings"
          />
        </Fold>
      ) : null}
    </>
  );
};

/** Which goes further, which runs cooler and quieter, and whether that is real. */
export const ComparePage = ({ frame, shown }: { frame: Frame; shown: ComparisonShown }) => {
  const { pair, compared, workloads } = shown;
  const loads = new Map(workloads.map(({ id, name }) => [id, name]));
  const intervals = intervalRows(compared, loads);
  const plot = frontiersPlot(shown);
  const isDrawn = extentsOf(plot) !== undefined;
  const heat = tellingHeat(compared.sameSetting);
  const undecided = compared.sameSetting.find(
    ({ wouldDecide, measure }) => measure === "loadRise" && wouldDecide !== null,
  );
  return (
    <Document
      title={`${pair.a.name} and ${pair.b.name}`}
      frame={frame}
      {...(isDrawn ? { charts: { frontiers: plot } } : {})}
    >
      <Entry aside={<About shown={shown} />}>
        <Answer heading={compared.sentence.replace(/\.$/, "")}>{compared.detail}</Answer>
        {shown.isFresh ? null : (
          <p class="quiet">
            The fitted limits are being worked out;{" "}
            <a href={paths.compare({ a: pair.a.id, b: pair.b.id })}>look again</a> in a moment.
          </p>
        )}
        {compared.caution ? <Note>{compared.caution}</Note> : null}
      </Entry>
      {intervals.length > 0 ? (
        <Entry
          aside={
            <>
              <p>
                {pair.b.name} minus {pair.a.name}, 95 %
              </p>
              <ChartLinks name="differences" table="same-voltage" />
            </>
          }
        >
          <ChartFigure
            name="differences"
            kind="still"
            caption="Each unit on its own scale; the bar is where the difference may lie, and a hollow mark is not decided. Room temperature taken out."
            narrow={
              <IntervalSvg title={intervalTitle(pair)} rows={intervals} nothing="no difference" narrow />
            }
          >
            <IntervalSvg title={intervalTitle(pair)} rows={intervals} nothing="no difference" />
          </ChartFigure>
        </Entry>
      ) : null}
      {isDrawn ? (
        <Entry aside={<ChartLinks name="frontiers" table="same-voltage" />}>
          <h2>Clock over voltage</h2>
          <ChartFigure
            name="frontiers"
            kind="plot"
            legend={<PlotKey plot={plot} />}
            caption={`What each holds by the rule “${shown.ruleName}”.`}
          >
            <PlotSvg plot={plot} />
          </ChartFigure>
        </Entry>
      ) : null}
      <Entry aside={<p>rule: {shown.ruleName}</p>}>
        <h2>At the same voltage</h2>
        {compared.sameVoltage.length > 0 ? (
          <SameVoltageTable pair={pair} rows={compared.sameVoltage} />
        ) : (
          <Missing>
            No voltage was tried on both. Run the second build at one of the first one's voltages.
          </Missing>
        )}
        <Fold title="Judge them by another rule or under another load">
          <QuestionForm
            action={paths.compare()}
            rules={shown.rules}
            workloads={workloads}
            ruleId={shown.ruleId}
            workloadId={shown.workloadId}
            kept={{ a: pair.a.id, b: pair.b.id }}
          />
        </Fold>
      </Entry>
      <Entry>
        <h2>At the same setting and load</h2>
        <SameSetting shown={shown} loads={loads} />
        {undecided?.wouldDecide ? <Note kind="plain">{undecided.wouldDecide}</Note> : null}
        {heat ? <BudgetFold pair={pair} row={heat} /> : null}
      </Entry>
      {compared.noise.length > 0 ? (
        <Entry>
          <h2>Loudness</h2>
          <NoiseTable pair={pair} rows={compared.noise} loads={loads} />
        </Entry>
      ) : null}
      {compared.score.length > 0 ? (
        <Entry>
          <h2>Scores</h2>
          <SameSettingTable
            pair={pair}
            rows={compared.score}
            loads={loads}
            caption="Benchmark results at the same setting"
          />
        </Entry>
      ) : null}
      <Entry id="others">
        <h2>Two others</h2>
        <ChooseForm choices={shown.choices} chosen={{ a: pair.a.id, b: pair.b.id }} refused={null} />
      </Entry>
    </Document>
  );
};

const intervalTitle = ({ a, b }: Pair): string =>
  `Differences, ${b.name} minus ${a.name}, with their 95 % intervals`;
