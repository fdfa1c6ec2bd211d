import type { HeatRun } from "../../bench/heat/heatReading.ts";
import { heatSentenceOf } from "../../bench/heat/heatSentence.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { ChartFigure, ChartLinks } from "../../html/chartFigure.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry, Fold } from "../../html/entry.tsx";
import { ChoiceField, Fields, NumberField } from "../../html/field.tsx";
import { formatCount, formatDuration, formatNumber } from "../../html/format.ts";
import { ChartBlock } from "../../html/jsonBlock.tsx";
import { type LineChart, plotOfLines } from "../../html/lineChart.ts";
import { Note, RefusalNote } from "../../html/note.tsx";
import { PlotKey, PlotSvg } from "../../html/plotSvg.tsx";
import { Moment } from "../../html/quantity.tsx";
import { LogForm } from "../kit/logForm.tsx";
import { SettingInWords, settingWords } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";
import { hasBeside, TypedBeside } from "./beside.tsx";
import { FigureTable } from "./figures.tsx";
import { heatChart } from "./heatChart.ts";
import { type Around, type HeatShown, temperatureChannels } from "./shown.ts";

/** One heat run: where it levelled, the trace with what was found in it, the figures and what they rest on. */
export const HeatRunPage = ({ frame, shown }: { frame: Frame; shown: HeatShown }) => {
  const { attempt, chip } = shown;
  const chart = heatChart(shown);
  return (
    <Document
      title={`Heat, ${settingWords(attempt, chip ?? undefined)}`}
      frame={frame}
      charts={{ heat: chart }}
    >
      <RunEntries shown={shown} chart={chart} />
      <Entry aside={<b>Another log</b>}>
        <Fold title="Read another log in place of this one">
          <LogForm attempt={attempt} replaces />
        </Fold>
      </Entry>
    </Document>
  );
};

/** What replaces a page that did not wait for a long trace. */
export const RunPieces = ({ shown }: { shown: HeatShown }) => {
  const chart = heatChart(shown);
  return (
    <>
      <ChartBlock charts={{ heat: chart }} />
      <RunEntries shown={shown} chart={chart} />
    </>
  );
};

const RunEntries = ({ shown, chart }: { shown: HeatShown; chart: LineChart }) => {
  const { run } = shown;
  return (
    <>
      <Entry id="heat-answer" aside={<About shown={shown} />}>
        <RunAnswer shown={shown} />
      </Entry>
      <Entry id="heat-beside" aside={hasBeside(shown) ? <b>What was typed</b> : null}>
        <TypedBeside shown={shown} />
      </Entry>
      <Entry id="heat-chart" aside={<ChartLinks name="heat" {...(run ? { table: "heat-figures" } : {})} />}>
        <TraceFigure chart={chart} />
      </Entry>
      <Entry id="heat-look" aside={run ? <p>drag the edges in the chart, or type</p> : null}>
        <LookAgain shown={shown} />
      </Entry>
      <Entry id="heat-numbers" aside={run ? <b>Figures</b> : null}>
        {run ? <FigureTable run={run} shown={shown} /> : null}
      </Entry>
    </>
  );
};

const About = ({
  shown: { attempt, build, chip, loadName, outline },
}: {
  shown: Around & { outline?: HeatShown["outline"] };
}) => (
  <>
    {build ? (
      <p>
        <b>
          <a href={paths.build(build.id)}>{build.name}</a>
        </b>
      </p>
    ) : null}
    <p>
      <a href={paths.attempt(attempt.id)}>
        <SettingInWords {...attempt} units={chip ?? undefined} />
      </a>
      {loadName ? `, ${loadName}` : ""}
    </p>
    <p>
      <Moment at={attempt.startedAt} />
    </p>
    {outline ? (
      <p>
        {formatCount(outline.rows, "row")} over {formatDuration(outline.toS - outline.fromS)},{" "}
        {outline.source === "log" ? "from a log" : "recorded as it ran"}
      </p>
    ) : null}
  </>
);

const RunAnswer = ({ shown }: { shown: HeatShown }) => {
  if (shown.run !== null) return <Found shown={shown} run={shown.run} />;
  return shown.readToS === null ? <BeingRead shown={shown} /> : <NoTemperature shown={shown} />;
};

const BeingRead = ({ shown }: { shown: HeatShown }) => {
  const { attempt, outline } = shown;
  return (
    <>
      <Answer heading="This long trace is being read">
        Its {formatCount(outline.rows, "row")} take a few seconds; <a href={addressOf(shown)}>look again</a>{" "}
        in a moment. The chart is there already.
      </Answer>
      <span data-later={paths.heatReading(attempt.id, queryOf(shown))} />
    </>
  );
};

/** Of a run that goes on: how far what stands here was read, until the rest was too. */
const ReadSoFar = ({ shown, readToS }: { shown: HeatShown; readToS: number }) => (
  <p class="quiet">
    Read as far as {formatDuration(readToS)}; what has come in since is being read,{" "}
    <a href={addressOf(shown)}>look again</a> in a moment.
    <span data-later={paths.heatReading(shown.attempt.id, queryOf(shown))} />
  </p>
);

const queryOf = ({ asked, view }: HeatShown) => ({
  channel: asked.channel === "temperature" ? null : asked.channel,
  loadStartS: asked.loadStartS,
  fromS: asked.fromS,
  toS: asked.toS,
  viewFromS: view.fromS,
  viewToS: view.toS,
});

const addressOf = (shown: HeatShown): string => paths.heatRun(shown.attempt.id, queryOf(shown));

const Found = ({ shown, run }: { shown: HeatShown; run: HeatRun }) => {
  const { heading, more, notes } = heatSentenceOf(run);
  const accuracyC = shown.chip?.sensorAccuracyC;
  return (
    <>
      <Answer heading={heading}>
        {more.join(" ")}
        {run.level && accuracyC ? (
          <>
            {" "}
            The ± is scatter alone; the sensor itself may be off by {formatNumber(accuracyC)}&nbsp;°C
            throughout.
          </>
        ) : null}
      </Answer>
      {shown.isAwaited && shown.readToS !== null ? <ReadSoFar shown={shown} readToS={shown.readToS} /> : null}
      {notes.length > 0 ? (
        <ul class="rows">
          {notes.map((note) => (
            <li key={note}>{note}</li>
          ))}
        </ul>
      ) : null}
      <Act>
        <ButtonLink href={paths.heat({ runs: shown.attempt.id })}>Lay other runs over it</ButtonLink>
      </Act>
    </>
  );
};

const NoTemperature = ({ shown: { asked, outline } }: { shown: HeatShown }) => (
  <>
    <Answer heading="Which channel is the temperature?">
      The trace holds {outline.channels.map(({ channel }) => channel).join(", ")}, and nothing named{" "}
      {asked.channel}.
    </Answer>
    {temperatureChannels(outline).length === 0 ? (
      <Note kind="plain">
        None of them is in degrees. Read the log again and say which column is the temperature.
      </Note>
    ) : null}
  </>
);

const TraceFigure = ({ chart }: { chart: LineChart }) => {
  const plot = plotOfLines(chart);
  return (
    <ChartFigure
      name="heat"
      kind="lines"
      caption={captionOf(chart)}
      narrow={<PlotSvg plot={plot} width={360} height={300} />}
      legend={<PlotKey plot={plot} />}
    >
      <PlotSvg plot={plot} />
    </ChartFigure>
  );
};

const captionOf = ({ lines, edges = [] }: LineChart): string =>
  [
    "The band round each line holds every reading, and drawing a stretch closer brings finer points",
    edges.length > 1 ? "the tinted stretch is averaged" : "",
    lines.some(({ dashed }) => dashed)
      ? "the dashed line is the fit, and what it would have done had it run on"
      : "",
  ]
    .filter(Boolean)
    .join("; ")
    .concat(".");

/** Where the load began and what is averaged, as found or as given; edges in the chart move the same fields. */
const LookAgain = ({ shown }: { shown: HeatShown }) => {
  const { attempt, form, outline, asked, run, isAsked } = shown;
  const choices = temperatureChannels(outline).map(({ channel }) => ({ value: channel, title: channel }));
  const secondsField = (name: FieldName) => (
    <NumberField
      name={name}
      label={fieldLabels[name]}
      unit="s"
      value={form.typed[name] ?? foundS(shown, name)}
      error={form.refused?.fields[name]}
    />
  );
  return (
    <form
      method="get"
      action={paths.heatRun(attempt.id)}
      data-again="heat-answer heat-chart heat-numbers"
      noValidate
    >
      <RefusalNote refused={form.refused} />
      <Fields>
        {choices.length > 1 || run === null ? (
          <ChoiceField
            name="channel"
            label="Temperature"
            value={asked.channel}
            choices={choices}
            hint="The channel that is read."
          />
        ) : null}
        {secondsField("loadStartS")}
      </Fields>
      <Fields>
        {secondsField("fromS")}
        {secondsField("toS")}
      </Fields>
      <Fields>
        {secondsField("viewFromS")}
        {secondsField("viewToS")}
      </Fields>
      <p class="prose quiet after-fields">
        Seconds from the first row. Left blank: found in the trace, the last three minutes under load, and the
        whole trace.
      </p>
      <Act>
        <Button>Look again</Button>
        {isAsked ? (
          <ButtonLink
            href={paths.heatRun(attempt.id, {
              channel: asked.channel === "temperature" ? null : asked.channel,
            })}
          >
            As found
          </ButtonLink>
        ) : null}
      </Act>
    </form>
  );
};

const fieldLabels = {
  loadStartS: "Load began at",
  fromS: "Average from",
  toS: "Average to",
  viewFromS: "Look from",
  viewToS: "Look to",
} as const;
type FieldName = keyof typeof fieldLabels;

function foundS({ run, view }: HeatShown, name: FieldName): string {
  const [load, window] = [run?.load, run?.window];
  const found = {
    ...{ loadStartS: load?.fromS, fromS: window?.fromS, toS: window?.toS },
    ...{ viewFromS: view.fromS, viewToS: view.toS },
  }[name];
  return found === undefined ? "" : String(Math.round(found));
}

/** An attempt without a trace: where one comes from. */
export const NoTracePage = ({ frame, around }: { frame: Frame; around: Around }) => (
  <Document title={`Heat, ${settingWords(around.attempt, around.chip ?? undefined)}`} frame={frame}>
    <Entry aside={<About shown={around} />}>
      <Answer heading="No sensor log belongs to this attempt yet">
        With one, the page says where the temperature levelled out, how far over the room, and what it would
        have reached.
      </Answer>
      {around.attempt.outcome === "running" ? (
        <Note kind="plain">
          It is still running. Its log can be read once it has ended; samples may be sent while it runs.
        </Note>
      ) : (
        <LogForm attempt={around.attempt} />
      )}
    </Entry>
  </Document>
);
