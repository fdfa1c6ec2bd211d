import type { PowerOfBuild } from "../../answers/powerOfBuild.ts";
import type { OffsetPower } from "../../bench/power/offsetPower.ts";
import type { PowerAccount } from "../../bench/power/powerAccount.ts";
import { isSetByClock } from "../../bench/things/setting.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { ChartFigure, ChartLinks } from "../../html/chartFigure.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry, Fold, PhoneFold } from "../../html/entry.tsx";
import { ChoiceField, Fields, NumberField } from "../../html/field.tsx";
import { formatCount, formatNumber } from "../../html/format.ts";
import { Missing, Note } from "../../html/note.tsx";
import { PlotKey, PlotSvg } from "../../html/plotSvg.tsx";
import type { Look } from "../kit/buildLooks.ts";
import { ClockUnit } from "../kit/clockUnit.ts";
import type { Typed } from "../kit/forms.ts";
import { standsOn } from "../kit/standsOn.ts";
import { paths } from "../paths.ts";
import { droopPlot, wattsPlot } from "./plots.ts";
import { EfficiencyTable, LoadLineTable, OffsetTable, Scores } from "./tables.tsx";
import { WearFold } from "./wear.tsx";
import { fitWords, lastStepWords, offsetHeading, offsetPowerWords, readingsWords } from "./words.ts";

export type PowerShown = Readonly<{
  answer: PowerOfBuild;
  look: Look;
  wear: Typed;
  isWearAsked: boolean;
  /** What the tester states of the supply, for readings at the wall. */
  supply: Readonly<{ typed: string | undefined; share: number | null; refusal: string | null }>;
}>;

/** What a build draws, what it loses on the way, what it gives for it. */
export const PowerPage = ({ frame, shown }: { frame: Frame; shown: PowerShown }) => {
  const { account, asked } = shown.answer;
  const { clockUnit } = asked.chip;
  const load = asked.workloads.get(account.workloadId ?? "")?.name ?? "load";
  const { byOffset } = account;
  const hasPoints = account.points.length > 0;
  const hasPower = hasPoints || readingsOf(account) > 0;
  const hasDroop = account.droops.length > 0;
  const charts = {
    ...(hasPoints ? { watts: wattsPlot(account, asked.chip.clockUnit, shown.look) } : {}),
    ...(hasDroop ? { droop: droopPlot(account) } : {}),
  };
  return (
    <Document
      title={`Power of ${asked.build.name}`}
      frame={frame}
      {...(hasPoints || hasDroop ? { charts } : {})}
    >
      <ClockUnit.Provider value={clockUnit}>
        <Entry aside={<About shown={shown} load={load} />}>
          {byOffset === null ? (
            <Answer heading={lastStepWords(account, asked.build.name, load, clockUnit)}>
              {fitWords(account)}
            </Answer>
          ) : (
            <Answer heading={offsetHeading(byOffset, asked.build.name, load, asked.chip.offset?.unit)}>
              {offsetPowerWords(account, clockUnit, asked.chip.offset?.unit)}
            </Answer>
          )}
          {hasPower ? null : <NoPower buildId={asked.build.id} />}
          <Supply shown={shown} />
          <OtherLoad shown={shown} />
        </Entry>
        {hasPoints ? <Watts shown={shown} /> : null}
        {byOffset !== null && byOffset.length > 0 ? <Offsets shown={shown} rows={byOffset} /> : null}
        {hasDroop ? <Droop shown={shown} /> : null}
        <Phases shown={shown} />
        {account.score ? (
          <Entry aside={<p>under {load}</p>}>
            <h2>What the clock brings</h2>
            <Scores score={account.score} />
          </Entry>
        ) : null}
        <Entry id="wear">
          <WearFold
            buildId={asked.build.id}
            typed={shown.wear}
            isAsked={shown.isWearAsked}
            workload={asked.workload?.id ?? null}
          />
        </Entry>
      </ClockUnit.Provider>
    </Document>
  );
};

/** How many readings of power the account rests on. */
const readingsOf = ({ points, byOffset }: PowerAccount): number =>
  (byOffset ?? []).reduce((sum, { powerReadings }) => sum + powerReadings, points.length);

const About = ({ shown: { answer }, load }: { shown: PowerShown; load: string }) => {
  const { build, chip } = answer.asked;
  const parts = standsOn(build.name, chip.name, answer.board.name);
  return (
    <>
      <b>
        <a href={paths.build(build.id)}>{build.name}</a>
      </b>
      {parts === null ? null : <p>{parts}</p>}
      {readingsOf(answer.account) > 0 ? (
        <p>
          {readingsWords(readingsOf(answer.account), answer.account)}, under {load}
        </p>
      ) : null}
    </>
  );
};

const NoPower = ({ buildId }: { buildId: string }) => (
  <Missing>
    <p>Note the power of a run, and where it was read, when it ends: two settings show how it grows.</p>
    <Act>
      <ButtonLink href={paths.bench({ build: buildId })} first>
        To the bench with it
      </ButtonLink>
    </Act>
  </Missing>
);

/** Readings at the wall hold what the supply loses: whoever knows its efficiency may take that off. */
const Supply = ({ shown: { answer, supply } }: { shown: PowerShown }) =>
  answer.account.wall === null ? null : (
    <Fold title="Take off what the supply loses" open={supply.refusal !== null}>
      <form method="get" action={paths.power(answer.asked.build.id)}>
        {answer.asked.workload === null ? null : (
          <input type="hidden" name="workload" value={answer.asked.workload.id} />
        )}
        <Fields>
          <NumberField
            name="supply"
            label="Efficiency of the supply"
            unit="%"
            value={supply.typed}
            hint={supplyHint(answer.asked.build.supplyEfficiencyPct)}
            error={supply.refusal ?? undefined}
          />
        </Fields>
        <Act>
          <Button>Take it off</Button>
        </Act>
      </form>
    </Fold>
  );

const supplyHint = (statedPct: number | null): string =>
  `At this load, from its maker's table or your own meter. Left blank: ${statedPct === null ? "kept as read; written with the build, it counts for good" : `${formatNumber(statedPct)} %, as written with the build`}.`;

const OtherLoad = ({ shown: { answer } }: { shown: PowerShown }) => {
  const read = new Set(
    answer.runs
      .filter((run) => answer.account.byOffset !== null || isSetByClock(run))
      .filter(({ powerW, score }) => powerW !== null || score !== null)
      .map((run) => run.workloadId),
  );
  const loads = [...answer.asked.workloads.values()].filter(
    ({ id, kind }) => kind !== "idle" && read.has(id),
  );
  if (loads.length < 2) return null;
  return (
    <Fold title="Under another load">
      <form method="get" action={paths.power(answer.asked.build.id)}>
        <Fields>
          <ChoiceField
            name="workload"
            label="Load"
            value={answer.account.workloadId ?? undefined}
            choices={loads.map(({ id, name }) => ({ value: id, title: name }))}
            required
          />
        </Fields>
        <Act>
          <Button>Show it</Button>
        </Act>
      </form>
    </Fold>
  );
};

const Watts = ({ shown: { answer, look } }: { shown: PowerShown }) => {
  const { account, asked } = answer;
  const plot = wattsPlot(account, asked.chip.clockUnit, look);
  return (
    <Entry aside={<ChartLinks name="watts" table="efficiency" />}>
      <h2>What it draws, and what it gives for it</h2>
      <ChartFigure
        name="watts"
        kind="plot"
        legend={<PlotKey plot={plot} />}
        caption="At the voltage that arrived, where it was read, and the clock it truly ran at. The line is what the fit gives at the settings read, as warm as they were."
      >
        <PlotSvg plot={plot} />
      </ChartFigure>
      {account.lastStep ? (
        <p class="prose">
          {account.lastStepByFit === null
            ? account.lastStep.words
            : `By the readings alone, which scatter: ${account.lastStep.words.replace(/^From/, "from")}`}
        </p>
      ) : null}
      <PhoneFold title="Setting by setting">
        <EfficiencyTable buildId={asked.build.id} rows={account.efficiency} />
      </PhoneFold>
    </Entry>
  );
};

/** So many offsets stand open on a phone. */
const mostOpen = 14;

const Offsets = ({ shown: { answer }, rows }: { shown: PowerShown; rows: readonly OffsetPower[] }) => {
  const table = <OffsetTable build={answer.asked.build} chip={answer.asked.chip} rows={rows} />;
  return (
    <Entry>
      <h2>What each offset draws, and what it gives for it</h2>
      {rows.length > mostOpen ? <PhoneFold title="Offset by offset">{table}</PhoneFold> : table}
    </Entry>
  );
};

const Droop = ({ shown: { answer } }: { shown: PowerShown }) => {
  const { account } = answer;
  const plot = droopPlot(account);
  const isWorkedOut = account.loadLines.some((line) => "currentWorkedOut" in line && line.currentWorkedOut);
  return (
    <Entry aside={<ChartLinks name="droop" table="load-lines" />}>
      <h2>Droop and load-line</h2>
      <ChartFigure
        name="droop"
        kind="plot"
        legend={<PlotKey plot={plot} />}
        caption={`Every run that kept running.${isWorkedOut ? " Where no current was read, it is the chip's power over the voltage that arrived." : ""}`}
      >
        <PlotSvg plot={plot} />
      </ChartFigure>
      <LoadLineTable rows={account.loadLines} />
    </Entry>
  );
};

/** What each phase carries at the most that was drawn; the caution stands in the sentence where it is due. */
const Phases = ({ shown: { answer } }: { shown: PowerShown }) => {
  const { account, board } = answer;
  const { phases } = account;
  if (phases === null)
    return account.droops.length > 0 && board.corePhases === null ? (
      <Entry>
        <h2>The board's supply phases</h2>
        <Missing>
          <p>
            Note how many core supply phases {board.name} has, and their rating, to see what each carries.
          </p>
          <Act>
            <ButtonLink href={paths.part("boards", board.id)}>Write it down</ButtonLink>
          </Act>
        </Missing>
      </Entry>
    ) : null;
  const isCaution = phases.state === "near" || phases.state === "over";
  const words = `${phases.words.charAt(0).toUpperCase()}${phases.words.slice(1)}`;
  return (
    <Entry
      aside={
        <p>
          at <a href={paths.attempt(phases.attemptId)}>{formatNumber(phases.currentA, 0)} A</a>, the most that
          was drawn
        </p>
      }
    >
      <h2>The board's supply phases</h2>
      {isCaution ? <Note>{words}</Note> : <p class="prose">{words}</p>}
    </Entry>
  );
};
