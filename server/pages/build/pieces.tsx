import type { BuildAnswer } from "../../answers/answerOf.ts";
import { reckoningInWords } from "../../bench/best/answerWords.ts";
import { ChartFigure, ChartLinks } from "../../html/chartFigure.tsx";
import { Entry } from "../../html/entry.tsx";
import { ChartBlock } from "../../html/jsonBlock.tsx";
import type { Plot } from "../../html/plot.ts";
import { PlotKey, PlotSvg } from "../../html/plotSvg.tsx";
import { AnswerLead, answerMarks, HighestSeen, WhyChanged, WorthTrying } from "../kit/answerTold.tsx";
import { furthest } from "../kit/furthest.ts";
import { Setting } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";
import { FrontierTable } from "./frontierTable.tsx";
import { LimitFigures, VoltageFor } from "./limitFigures.tsx";
import { LimitNotes, LimitWords } from "./limitWords.tsx";
import { AnotherQuestion, AskedOtherwise, WhyThis } from "./setting.tsx";
import type { BuildShown } from "./shown.ts";

export const LimitPiece = ({ shown }: { shown: BuildShown }) => (
  <div id="limit-words">
    <LimitWords limit={shown.limit} top={furthest(shown.frontier.points)} isFresh={shown.later === null}>
      <Start shown={shown} />
    </LimitWords>
    {shown.limit?.state === "fitted" ? (
      <>
        <LimitFigures limit={shown.limit} workloads={shown.asked.workloads} />
        <VoltageFor
          buildId={shown.asked.build.id}
          limit={shown.limit}
          holding={shown.holding}
          kept={{ ...shown.kept, ...shown.wish }}
        />
      </>
    ) : null}
  </div>
);

/** What other builds of the chip taught can be left out, and counted again. */
const Start = ({ shown: { asked, pooled, kept, wish } }: { shown: BuildShown }) => {
  if (pooled === null) return null;
  const address = paths.build(asked.build.id, { ...kept, ...wish, pooled: pooled ? "no" : null });
  return (
    <>
      {" "}
      {pooled ? null : "What the chip showed on other builds is left out. "}
      <a href={address}>{pooled ? "Leave out what it showed on other builds" : "Count it as a start"}</a>.
    </>
  );
};

export const ChartPiece = ({ shown, plot }: { shown: BuildShown; plot: Plot }) => {
  const { rule, workload } = shown.asked;
  const fitted = shown.limit?.state === "fitted";
  return (
    <div id="limit-chart">
      <Entry aside={<ChartLinks name="limit" table="frontier" />}>
        <ChartFigure
          name="limit"
          kind="plot"
          legend={<PlotKey plot={plot} />}
          caption={
            <>
              Every attempt under {workload?.name ?? "any load"} that speaks of the clock. The line is what
              held by the rule “{rule.name}”.
              {fitted ? " Band: where the limit lies, nine chances in ten." : ""}
            </>
          }
        >
          <PlotSvg plot={plot} />
        </ChartFigure>
      </Entry>
    </div>
  );
};

/** The build's one answer, above everything else. */
export const AnswerPiece = ({ shown }: { shown: BuildShown }) => {
  const { answer, asked, frontier } = shown;
  const { id, name, hottestAmbientC } = asked.build;
  return (
    <div id="answer" {...answerMarks({ buildId: id, answer })}>
      <h1>
        <Headline name={name} answer={answer} tried={frontier.attempts} />
      </h1>
      <AnswerLead answer={answer} hottestAmbientC={hottestAmbientC} />
      {answer.reckoning ? <p class="quiet">{reckoningInWords}</p> : null}
      <HighestSeen answer={answer} />
      <WorthTrying buildId={id} answer={answer} />
      <WhyChanged answer={answer} />
    </div>
  );
};

const Headline = ({ name, answer, tried }: { name: string; answer: BuildAnswer; tried: number }) => {
  if (answer.setting !== null)
    return (
      <>
        Run <Setting {...answer.setting} />
      </>
    );
  if (answer.reckoning) return <>What to run on {name} is being worked out</>;
  return <>{tried === 0 ? `Nothing was tried on ${name} yet` : `No setting to run on ${name} yet`}</>;
};

export const SettingPiece = ({ shown }: { shown: BuildShown }) => {
  const { build } = shown.asked;
  const { wish, kept, answer, another } = shown;
  return (
    <div id="setting">
      <Entry>
        {another ? (
          <AnotherQuestion buildId={build.id} wish={wish} kept={kept} best={another.best} />
        ) : (
          <>
            <h2>Why this setting</h2>
            <WhyThis best={answer} />
            <AskedOtherwise buildId={build.id} wish={wish} kept={kept} />
          </>
        )}
        <LimitNotes limit={shown.limit} />
      </Entry>
    </div>
  );
};

/** Held by rule and the answer, side by side at each voltage. */
export const EachVoltage = ({ shown: { asked, frontier, answer } }: { shown: BuildShown }) => (
  <FrontierTable
    buildId={asked.build.id}
    hottestAmbientC={asked.build.hottestAmbientC}
    frontier={frontier}
    answer={answer}
  />
);

/** What the fit changes, for a page that was there before it. */
export const LimitPieces = ({ shown }: { shown: BuildShown }) => (
  <>
    {shown.plot ? <ChartBlock charts={{ limit: shown.plot }} /> : null}
    <AnswerPiece shown={shown} />
    <LimitPiece shown={shown} />
    {shown.plot ? <ChartPiece shown={shown} plot={shown.plot} /> : null}
    <div id="at-each-voltage">
      <EachVoltage shown={shown} />
    </div>
    <SettingPiece shown={shown} />
  </>
);
