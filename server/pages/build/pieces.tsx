import { plainAdvice } from "../../bench/next/plainAdvice.ts";
import { ChartFigure, ChartLinks } from "../../html/chartFigure.tsx";
import { Entry } from "../../html/entry.tsx";
import { ChartBlock } from "../../html/jsonBlock.tsx";
import type { Plot } from "../../html/plot.ts";
import { PlotKey, PlotSvg } from "../../html/plotSvg.tsx";
import { furthest } from "../kit/furthest.ts";
import { paths } from "../paths.ts";
import { Advice } from "./advice.tsx";
import { LimitFigures, VoltageFor } from "./limitFigures.tsx";
import { LimitNotes, LimitWords } from "./limitWords.tsx";
import { BestSetting } from "./setting.tsx";
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

export const SettingPiece = ({ shown }: { shown: BuildShown }) => {
  const { build, chip } = shown.asked;
  return (
    <div id="setting">
      <Entry>
        <h2>The setting to run</h2>
        {shown.best ? (
          <BestSetting buildId={build.id} best={shown.best} wish={shown.wish} kept={shown.kept} />
        ) : (
          <Advice
            buildId={build.id}
            advice={plainAdvice(shown.frontier.points, chip)}
            clockStepMhz={chip.clockStepMhz}
          />
        )}
        <LimitNotes limit={shown.limit} />
      </Entry>
    </div>
  );
};

/** What the fit changes, for a page that was there before it. */
export const LimitPieces = ({ shown }: { shown: BuildShown }) => (
  <>
    {shown.plot ? <ChartBlock charts={{ limit: shown.plot }} /> : null}
    <LimitPiece shown={shown} />
    {shown.plot ? <ChartPiece shown={shown} plot={shown.plot} /> : null}
    <SettingPiece shown={shown} />
  </>
);
