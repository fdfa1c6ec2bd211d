import { tellingHeat } from "../../bench/comparison/sentence.ts";
import { ChartFigure, ChartLinks } from "../../html/chartFigure.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry, Fold, LineWithMore, PhoneFold } from "../../html/entry.tsx";
import { formatCount } from "../../html/format.ts";
import { IntervalSvg } from "../../html/intervalSvg.tsx";
import { ChartBlock } from "../../html/jsonBlock.tsx";
import { Missing, Note } from "../../html/note.tsx";
import { type BandPoint, extentsOf, type Plot, type Tone } from "../../html/plot.ts";
import { PlotKey, PlotSvg } from "../../html/plotSvg.tsx";
import { AnswerLine } from "../kit/answerTold.tsx";
import { someLook } from "../kit/buildLooks.ts";
import { ClockUnit } from "../kit/clockUnit.ts";
import { heldMarks, stepsLayers } from "../kit/frontierSteps.ts";
import { QuestionForm } from "../kit/questionForm.tsx";
import { unparted } from "../kit/unparted.ts";
import { paths } from "../paths.ts";
import { About, DriftWords, OnwardFromBoth, SecondMount } from "./beside.tsx";
import { ChooseForm, SeveralForm } from "./choose.tsx";
import { GivenFold } from "./given.tsx";
import { intervalRows, tellingRows } from "./rows.ts";
import type { ComparisonShown } from "./shown.ts";
import {
  BudgetFold,
  hasParts,
  NoiseTable,
  type Pair,
  SameOffsetTable,
  SameSettingTable,
  SameVoltageTable,
} from "./tables.tsx";

const frontiersPlot = ({
  pair,
  pointsA,
  pointsB,
  curves,
  compared: { clockUnit },
  looks: [a = someLook, b = someLook],
}: ComparisonShown): Plot => ({
  title: `Clock held over voltage on ${pair.a.name} and ${pair.b.name}`,
  x: { label: "voltage set", unit: "V" },
  y: { label: "clock held", unit: clockUnit },
  layers: [
    ...curveLayers(curves.a, a.tone),
    ...curveLayers(curves.b, b.tone),
    ...stepsLayers(pointsA, a.tone, pair.a.name),
    heldMarks(pointsA, a, { ...pair.a, clockUnit }),
    ...stepsLayers(pointsB, b.tone, pair.b.name),
    heldMarks(pointsB, b, { ...pair.b, clockUnit }),
  ],
});

/** Where a build's limit may lie by its own attempts, 95 %. */
const curveLayers = (curve: readonly BandPoint[], tone: Tone): Plot["layers"] =>
  curve.length < 2 ? [] : [{ as: "band", tone, points: curve }];

/** The best documented setting of each measure and load; the others a fold away. */
const SameSetting = ({ shown, loads }: WithLoads) => {
  const { pair, compared } = shown;
  const telling = tellingRows(compared.sameSetting);
  const others = compared.sameSetting.filter((row) => !telling.includes(row));
  if (telling.length === 0)
    return (
      <Missing>
        No setting was run on both under the same load. Run both at one setting to compare them like for like.
      </Missing>
    );
  return (
    <>
      <PhoneFold title="Measure by measure">
        <SameSettingTable
          pair={pair}
          rows={telling}
          loads={loads}
          caption="Measures at the same setting and load"
          together={compared.together}
        />
      </PhoneFold>
      {others.length > 0 ? (
        <Fold title={`At other settings: ${formatCount(others.length, "more measure")}`}>
          <SameSettingTable
            pair={pair}
            rows={others}
            loads={loads}
            caption="The same measures at other settings"
            together={compared.together}
          />
        </Fold>
      ) : null}
    </>
  );
};

/** What the address carries besides what is taken as given. */
const keptIn = ({
  pair,
  askedRuleId,
  workloadId,
}: ComparisonShown): readonly (readonly [string, string])[] => [
  ["a", pair.a.id],
  ["b", pair.b.id],
  ...(askedRuleId === null ? [] : [["rule", askedRuleId] as const]),
  ...(workloadId === null ? [] : [["workload", workloadId] as const]),
];

/** A point ends a sentence only before a capital; those in figures do not. */
const sentencesOf = (detail: string): readonly string[] => unparted(detail).split(/(?<=\.) (?=\p{Lu})/u);

const statedIn = ({ given }: ComparisonShown): Record<string, string> =>
  Object.fromEntries(Object.entries(given.typed).flatMap(([name, value]) => (value ? [[name, value]] : [])));

const chartsOf = (shown: ComparisonShown): Readonly<Record<string, Plot>> | null => {
  const plot = frontiersPlot(shown);
  return extentsOf(plot) === undefined ? null : { frontiers: plot };
};

/** Which goes further, which runs cooler and quieter, and whether that is real. */
export const ComparePage = ({ frame, shown }: { frame: Frame; shown: ComparisonShown }) => {
  const charts = chartsOf(shown);
  return (
    <Document
      title={`${shown.pair.a.name} and ${shown.pair.b.name}`}
      frame={frame}
      {...(charts ? { charts } : {})}
    >
      <ComparisonBody shown={shown} />
    </Document>
  );
};

/** The comparison with the limits as they are now, for a page that did not wait for them. */
export const ComparisonPiece = ({ shown }: { shown: ComparisonShown }) => {
  const charts = chartsOf(shown);
  return (
    <>
      <ComparisonBody shown={shown} />
      {charts ? <ChartBlock charts={charts} /> : null}
    </>
  );
};

/** How far each goes: part by part where they are set by offset, else voltage by voltage. */
const Limits = ({ shown: { pair, compared } }: { shown: ComparisonShown }) => {
  const { offsets } = compared;
  if (offsets !== null)
    return (
      <>
        <h2>{hasParts(offsets) ? "Part by part" : "How far each goes"}</h2>
        {offsets.rows.length > 0 ? (
          <SameOffsetTable pair={pair} offsets={offsets} together={compared.together} />
        ) : (
          <Missing>No part was tried on both.</Missing>
        )}
      </>
    );
  return (
    <>
      <h2>At the same voltage</h2>
      {compared.sameVoltage.length > 0 ? (
        <PhoneFold title="Voltage by voltage">
          <SameVoltageTable
            pair={pair}
            rows={compared.sameVoltage}
            clock={compared.clock}
            together={compared.together}
          />
        </PhoneFold>
      ) : (
        <Missing>
          No voltage was tried on both. Run the second build at one of the first one's voltages.
        </Missing>
      )}
    </>
  );
};

const ComparisonBody = ({ shown }: { shown: ComparisonShown }) => {
  const loads = new Map(shown.workloads.map(({ id, name }) => [id, name]));
  return (
    <ClockUnit.Provider value={shown.compared.clockUnit}>
      <div id="comparison">
        <Verdict shown={shown} />
        <Differences shown={shown} loads={loads} />
        <Frontiers shown={shown} />
        <LimitsJudged shown={shown} />
        <AtSameSetting shown={shown} loads={loads} />
        <Loudness shown={shown} loads={loads} />
        <Scores shown={shown} loads={loads} />
        <TwoOthers shown={shown} />
      </div>
    </ClockUnit.Provider>
  );
};

type WithLoads = Readonly<{ shown: ComparisonShown; loads: ReadonlyMap<string, string> }>;

/** What came of it, in one sentence, and what each build is best set to. */
const Verdict = ({ shown }: { shown: ComparisonShown }) => {
  const { pair, compared } = shown;
  const kept = keptIn(shown);
  const addressed = { ...Object.fromEntries(kept), ...shown.given.typed };
  return (
    <Entry aside={<About shown={shown} />}>
      {compared.caution ? <Note>{compared.caution}</Note> : null}
      <Answer heading={unparted(compared.sentence.replace(/\.$/, ""))} />
      {compared.detail === "" ? null : (
        <LineWithMore line={sentencesOf(compared.detail)[0]} more="Figures">
          {sentencesOf(compared.detail)
            .slice(1)
            .map((sentence) => (
              <p key={sentence}>{sentence}</p>
            ))}
        </LineWithMore>
      )}
      <ul class="rows">
        {[pair.a, pair.b].map(({ id, name }, i) => (
          <li key={id}>
            <AnswerLine buildId={id} name={name} answer={shown.answers[i as 0 | 1]} />
          </li>
        ))}
      </ul>
      {shown.isFresh ? null : (
        <p class="quiet">
          The fitted limits are being worked out; <a href={paths.compare(addressed)}>look again</a> in a
          moment.
          <span data-later={paths.fittedComparison(addressed)} />
        </p>
      )}
      <SecondMount pair={pair} row={tellingHeat(compared.sameSetting)} />
      <DriftWords drift={shown.drift} chipId={shown.chipId} />
      <GivenFold asked={shown.given} kept={kept} clockUnit={compared.clockUnit} />
    </Entry>
  );
};

const Differences = ({ shown: { pair, compared }, loads }: WithLoads) => {
  const intervals = intervalRows(compared, loads);
  if (intervals.length === 0) return null;
  const title = intervalTitle(pair);
  return (
    <Entry
      aside={
        <>
          <p>
            {pair.b.name} less {pair.a.name}, 95 %
          </p>
          <ChartLinks name="differences" table="same-voltage" />
        </>
      }
    >
      <ChartFigure
        name="differences"
        kind="still"
        caption="Each unit on its own scale. Bar: where the difference may lie. Hollow: not decided."
        narrow={<IntervalSvg title={title} rows={intervals} nothing="no difference" narrow />}
      >
        <IntervalSvg title={title} rows={intervals} nothing="no difference" />
      </ChartFigure>
    </Entry>
  );
};

const Frontiers = ({ shown }: { shown: ComparisonShown }) => {
  const plot = frontiersPlot(shown);
  if (extentsOf(plot) === undefined) return null;
  const bands =
    shown.curves.a.length + shown.curves.b.length > 0
      ? " Bands: where each limit lies by its own attempts, 95 %."
      : "";
  return (
    <Entry aside={<ChartLinks name="frontiers" table="same-voltage" />}>
      <h2>Clock over voltage</h2>
      <ChartFigure
        name="frontiers"
        kind="plot"
        legend={<PlotKey plot={plot} />}
        caption={`What each holds by the rule “${shown.ruleName}”.${bands}`}
      >
        <PlotSvg plot={plot} />
      </ChartFigure>
    </Entry>
  );
};

const LimitsJudged = ({ shown }: { shown: ComparisonShown }) => (
  <Entry aside={<p>rule: {shown.ruleName}</p>}>
    <Limits shown={shown} />
    <Fold title="Judge them by another rule or under another load">
      <QuestionForm
        action={paths.compare()}
        rules={shown.rules}
        workloads={shown.workloads}
        ruleId={shown.ruleId}
        workloadId={shown.workloadId}
        kept={{ a: shown.pair.a.id, b: shown.pair.b.id, ...statedIn(shown) }}
      />
    </Fold>
  </Entry>
);

const AtSameSetting = ({ shown, loads }: WithLoads) => {
  const { pair, compared } = shown;
  const heat = tellingHeat(compared.sameSetting);
  const undecided = compared.sameSetting.find(
    ({ wouldDecide, measure }) => measure === "loadRise" && wouldDecide !== null,
  );
  return (
    <Entry>
      <h2>At the same setting and load</h2>
      <SameSetting shown={shown} loads={loads} />
      {undecided?.wouldDecide && undecided.verdict !== "not-enough" ? (
        <Note kind="plain">{undecided.wouldDecide}</Note>
      ) : null}
      {heat ? <BudgetFold pair={pair} row={heat} /> : null}
    </Entry>
  );
};

const Loudness = ({ shown: { pair, compared }, loads }: WithLoads) =>
  compared.noise.length === 0 ? null : (
    <Entry>
      <h2>Loudness</h2>
      <PhoneFold title="Loudness in figures">
        <NoiseTable pair={pair} rows={compared.noise} loads={loads} together={compared.together} />
      </PhoneFold>
    </Entry>
  );

const Scores = ({ shown: { pair, compared }, loads }: WithLoads) =>
  compared.score.length === 0 ? null : (
    <Entry>
      <h2>Scores</h2>
      <PhoneFold title="Score by score">
        <SameSettingTable
          pair={pair}
          rows={compared.score}
          loads={loads}
          caption="Benchmark results at the same setting"
          together={compared.together}
        />
      </PhoneFold>
    </Entry>
  );

const TwoOthers = ({ shown }: { shown: ComparisonShown }) => {
  const { pair, choices, siblings } = shown;
  return (
    <Entry id="others" aside={<OnwardFromBoth shown={shown} />}>
      <h2>Two others</h2>
      <ChooseForm choices={choices} chosen={{ a: pair.a.id, b: pair.b.id }} refused={null} />
      {choices.length > 2 ? (
        <Fold title="Several, each against one">
          <SeveralForm choices={choices} a={pair.a.id} against={siblings} />
        </Fold>
      ) : null}
    </Entry>
  );
};

const intervalTitle = ({ a, b }: Pair): string =>
  `Differences, ${b.name} less ${a.name}, with their 95 % intervals`;
