import type { BuildAnswer } from "../../answers/answerOf.ts";
import { offsetsInWords, reckoningSaid } from "../../bench/best/answerWords.ts";
import { Act, ButtonLink } from "../../html/act.tsx";
import { ChartFigure, ChartLinks } from "../../html/chartFigure.tsx";
import { Entry, Fold } from "../../html/entry.tsx";
import { ChartBlock } from "../../html/jsonBlock.tsx";
import type { Plot } from "../../html/plot.ts";
import { PlotKey, PlotSvg } from "../../html/plotSvg.tsx";
import {
  AnswerLead,
  answerMarks,
  HighestSeen,
  NoteLink,
  WhyChanged,
  WorthTrying,
} from "../kit/answerTold.tsx";
import { ClockUnit } from "../kit/clockUnit.ts";
import { furthest } from "../kit/furthest.ts";
import { SettingInWords } from "../kit/settingWords.tsx";
import { unparted } from "../kit/unparted.ts";
import { paths } from "../paths.ts";
import { FrontierTable } from "./frontierTable.tsx";
import { LimitFigures, VoltageFor } from "./limitFigures.tsx";
import { KnobsBuy, LimitNotes, LimitWords, NoLimit } from "./limitWords.tsx";
import { PartTable } from "./partTable.tsx";
import { AnotherQuestion, AskedOtherwise, WhyThis } from "./setting.tsx";
import type { BuildShown } from "./shown.ts";

/** What the fit says besides its picture: one line while there is none, else folded away. */
export const LimitPiece = ({ shown }: { shown: BuildShown }) => {
  const { limit, asked } = shown;
  return (
    <div id="limit-words" data-only="">
      {limit?.state === "fitted" ? (
        <>
          {shown.later === null ? null : (
            <p class="quiet">An attempt came in since; this is being worked out anew.</p>
          )}
          <KnobsBuy limit={limit} unit={asked.chip.clockUnit} />
          <Fold title="The fitted limit">
            <LimitWords limit={limit} top={furthest(shown.frontier.points)}>
              <Start shown={shown} />
            </LimitWords>
            <LimitFigures limit={limit} workloads={asked.workloads} />
            <LimitNotes limit={limit} />
          </Fold>
          <VoltageFor
            buildId={asked.build.id}
            limit={limit}
            holding={shown.holding}
            kept={{ ...shown.kept, ...shown.wish }}
          />
        </>
      ) : (
        <NoLimit limit={limit} />
      )}
    </div>
  );
};

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
  const isBanded = plot.layers.some((layer) => layer.as === "band");
  return (
    <div id="limit-chart">
      <Entry aside={<ChartLinks name="limit" table="frontier" />}>
        <ChartFigure
          name="limit"
          kind="plot"
          legend={<PlotKey plot={plot} />}
          caption={
            <>
              Attempts under {workload?.name ?? "any load"}. Line: held by the rule “{rule.name}”.
              {isBanded ? " Band: where the limit lies, nine chances in ten." : ""}
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
        <Headline
          name={name}
          answer={answer}
          tried={frontier.attempts + (frontier.byOffset?.attempts ?? 0)}
        />
      </h1>
      <AnswerLead answer={answer} hottestAmbientC={hottestAmbientC} />
      {reckoningSaid(answer) === "" ? null : <p class="quiet">{reckoningSaid(answer)}</p>}
      <HighestSeen answer={answer} />
      <WorthTrying buildId={id} answer={answer} />
      <WhyChanged answer={answer} />
    </div>
  );
};

/** What may be done with the build; whether there is a setting to enter, the fit may say. */
export const Onward = ({ shown: { asked, answer, trials, frontier } }: { shown: BuildShown }) => {
  const { id } = asked.build;
  return (
    <div id="onward" data-only="">
      <Act>
        <ButtonLink href={paths.bench({ build: id })} first={answer.state !== "done"} letter="b">
          To the bench with it
        </ButtonLink>
        <NoteLink buildId={id} answer={answer} />
        <ButtonLink href={paths.compare({ a: id })}>Compare it</ButtonLink>
        {trials.length > 0 || (frontier.byOffset?.attempts ?? 0) > 0 ? (
          <ButtonLink href={paths.writeUp({ builds: id })}>Write it up</ButtonLink>
        ) : null}
      </Act>
    </div>
  );
};

const Headline = ({ name, answer, tried }: { name: string; answer: BuildAnswer; tried: number }) => {
  if (answer.setting !== null)
    return (
      <>
        Run <SettingInWords {...answer.setting} />
      </>
    );
  const offsets = answer.byOffset && offsetsInWords(answer.byOffset);
  if (offsets) return <>Run {unparted(offsets)}</>;
  if (answer.reckoning) return <>What to run on {name} is being worked out</>;
  return <>{tried === 0 ? `Nothing was tried on ${name} yet` : `No setting to run on ${name} yet`}</>;
};

export const SettingPiece = ({ shown }: { shown: BuildShown }) => {
  const { build } = shown.asked;
  const { wish, kept, answer, another } = shown;
  return (
    <div id="setting" data-only="">
      <Entry>
        {another ? (
          <AnotherQuestion buildId={build.id} wish={wish} kept={kept} best={another.best} />
        ) : (
          <>
            <Fold title="Why this setting">
              <WhyThis best={answer} />
            </Fold>
            <AskedOtherwise buildId={build.id} wish={wish} kept={kept} />
          </>
        )}
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

/** On a chip that is set by offset: held by rule and the answer, part by part. */
export const EachPart = ({ shown: { asked, frontier, answer } }: { shown: BuildShown }) =>
  frontier.byOffset === null ? null : (
    <PartTable
      buildId={asked.build.id}
      hottestAmbientC={asked.build.hottestAmbientC}
      frontier={frontier.byOffset}
      unit={asked.chip.offset?.unit ?? ""}
      answer={answer}
    />
  );

/** What the fit changes, for a page that was there before it. */
export const LimitPieces = ({ shown }: { shown: BuildShown }) => (
  <ClockUnit.Provider value={shown.asked.chip.clockUnit}>
    {shown.plot ? <ChartBlock charts={{ limit: shown.plot }} /> : null}
    <AnswerPiece shown={shown} />
    <Onward shown={shown} />
    <LimitPiece shown={shown} />
    {shown.plot ? <ChartPiece shown={shown} plot={shown.plot} /> : null}
    {shown.frontier.byOffset ? (
      <div id="each-part">
        <EachPart shown={shown} />
      </div>
    ) : (
      <div id="at-each-voltage">
        <EachVoltage shown={shown} />
      </div>
    )}
    <SettingPiece shown={shown} />
  </ClockUnit.Provider>
);
