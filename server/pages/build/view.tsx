import { passesShowWords } from "../../bench/frontier/demonstration.ts";
import type { Trial } from "../../bench/frontier/evidence.ts";
import type { Frontier } from "../../bench/frontier/frontier.ts";
import { aimInWords } from "../../bench/things/aim.ts";
import { Document, type Frame } from "../../html/document.tsx";
import { Entry, Fold } from "../../html/entry.tsx";
import { formatCount, formatDuration } from "../../html/format.ts";
import { Note } from "../../html/note.tsx";
import { AimForm } from "../kit/aimForm.tsx";
import { AttemptsTable, loadNames } from "../kit/attemptTable.tsx";
import { ClockUnit } from "../kit/clockUnit.ts";
import { PictureStrip } from "../kit/pictureStrip.tsx";
import { QuestionForm } from "../kit/questionForm.tsx";
import { standsOn } from "../kit/standsOn.ts";
import { paths } from "../paths.ts";
import { AutomaticEntry } from "./automaticView.tsx";
import { ClockTable, heldLeaves } from "./frontierTable.tsx";
import {
  AnswerPiece,
  ChartPiece,
  EachPart,
  EachVoltage,
  LimitPiece,
  Onward,
  SettingPiece,
} from "./pieces.tsx";
import type { BuildShown } from "./shown.ts";
import { Warnings } from "./warnings.tsx";

const daysOf = (trials: readonly Trial[]): number =>
  new Set(trials.map(({ row }) => row.startedAt.slice(0, 10))).size;

const About = ({ shown }: { shown: BuildShown }) => {
  const { build, chip } = shown.asked;
  const parts = standsOn(build.name, chip.name, shown.boardName);
  const ranS = shown.trials.reduce((sum, { row }) => sum + row.durationS, 0);
  return (
    <div class="who">
      <p>
        <b>{build.name}</b>
      </p>
      {parts === null ? null : <p class="parts">{parts}</p>}
      {shown.trials.length > 0 ? (
        <p class="parts">
          <a href={paths.attempts(build.id)}>{formatCount(shown.trials.length, "attempt")}</a>,{" "}
          {formatDuration(ranS)} over {formatCount(daysOf(shown.trials), "day")}
        </p>
      ) : null}
      <Fold title="change">
        <AimForm buildId={build.id} aim={build} axis={chip.axis} back="build" />
        <a href={paths.buildEdit(build.id)}>change the build</a>
      </Fold>
      <p class="parts">{aimInWords(build, chip.axis)}</p>
    </div>
  );
};

const LeftOut = ({ leftOut }: Pick<Frontier, "leftOut">) => {
  const { idle, boost, otherWorkload, inDoubt } = leftOut;
  const parts = [
    idle > 0 ? `${idle} idle` : "",
    boost > 0 ? `${boost} on boost` : "",
    otherWorkload > 0 ? `${otherWorkload} under lighter loads` : "",
    inDoubt > 0 ? `${inDoubt} of which nobody said that the setting was applied` : "",
  ].filter(Boolean);
  return parts.length === 0 ? null : <p>left out: {parts.join(", ")}</p>;
};

/** What one build does: the answer, the picture, the table, the setting to run, and what it all rests on. */
export const BuildPage = ({ frame, shown }: { frame: Frame; shown: BuildShown }) => {
  const { asked, frontier, rules, newest, plot } = shown;
  const { build, rule, workload, workloads } = asked;
  return (
    <ClockUnit.Provider value={asked.chip.clockUnit}>
      <Document title={build.name} frame={frame} {...(plot && { charts: { limit: plot } })}>
        <Entry aside={<About shown={shown} />}>
          <AnswerPiece shown={shown} />
          {shown.later ? <span data-later={shown.later} /> : null}
          <Onward shown={shown} />
        </Entry>
        {frontier.hotspot ? <Hotspot found={frontier.hotspot} /> : null}
        {plot ? <ChartPiece shown={shown} plot={plot} /> : null}
        {newest.length > 0 && frontier.byOffset === null ? (
          <Entry>
            <LimitPiece shown={shown} />
          </Entry>
        ) : null}
        {frontier.byOffset !== null && frontier.byOffset.attempts > 0 ? (
          <Entry
            aside={
              <>
                <p>rule: {rule.name}</p>
                <LeftOut leftOut={frontier.byOffset.leftOut} />
              </>
            }
          >
            <h2>{asked.chip.parts.length > 0 ? "Part by part" : "How far it goes"}</h2>
            <div id="each-part">
              <EachPart shown={shown} />
            </div>
          </Entry>
        ) : null}
        {frontier.automatic ? <AutomaticEntry chip={asked.chip} found={frontier.automatic} /> : null}
        {frontier.points.length > 0 ? (
          <>
            <Entry
              aside={
                <>
                  <p>rule: {rule.name}</p>
                  <LeftOut leftOut={frontier.leftOut} />
                </>
              }
            >
              <h2>At each voltage</h2>
              <div id="at-each-voltage">
                <EachVoltage shown={shown} />
              </div>
              <Warnings buildId={build.id} warnings={frontier.warnings} />
              <Fold title="Judge it by another rule or under another load">
                <QuestionForm
                  action={paths.build(build.id)}
                  rules={rules}
                  workloads={[...workloads.values()]}
                  ruleId={rule.id}
                  workloadId={workload?.id ?? null}
                  kept={keptBesides(shown)}
                />
              </Fold>
              <Fold title="The same, clock by clock">
                <ClockTable buildId={build.id} frontier={frontier} />
              </Fold>
              <Fold title="What the columns mean">
                <Meaning />
              </Fold>
            </Entry>
            <SettingPiece shown={shown} />
          </>
        ) : null}
        {newest.length > 0 ? (
          <Entry
            aside={
              <>
                <a href={paths.attempts(build.id)}>{shown.hasMore ? "all attempts" : "as a list"}</a>
                <br />
                <a href={paths.power(build.id)}>power and droop</a>
              </>
            }
          >
            <h2>Latest attempts</h2>
            <AttemptsTable
              caption="Latest attempts"
              loads={loadNames([...workloads.values()])}
              times="moment"
              chip={asked.chip}
              rows={newest}
            />
          </Entry>
        ) : null}
        <Entry>
          <PictureStrip thing="builds" id={build.id} pictures={shown.pictures} />
        </Entry>
      </Document>
    </ClockUnit.Provider>
  );
};

/** What the rule and the load do not change. */
const keptBesides = ({ kept, wish }: BuildShown): Readonly<Record<string, string>> => {
  const { rule, workload, ...others } = kept;
  return { ...others, ...wish };
};

const Meaning = () => (
  <dl class="facts prose">
    <dt>Held by rule</dt>
    <dd>
      passed for as long as the rule asks, and no crash at that or an easier setting. {passesShowWords()}
    </dd>
    <dt>Answer</dt>
    <dd>
      ran, and passes its hours with the chance that the use asks, by the whole record. It lies lower than
      what is held: a pass long enough for the rule is not yet a safe clock.
    </dd>
    <dt>Clean time</dt>
    <dd>time survived at the held setting and at harder ones that never failed.</dd>
    <dt>{heldLeaves}</dt>
    <dd>
      degrees left to the temperature limit in the hottest room you plan for, at the held setting as it was
      read. What the answer has to spare is of its own clock and stands with it; where that never ran long
      enough to level, it is a forecast.
    </dd>
  </dl>
);

/** A hotspot that moved away from the rest of the chip since the cooler was put on is a caution; else it is only told. */
const Hotspot = ({ found: { grew, words } }: { found: NonNullable<BuildShown["frontier"]["hotspot"]> }) => (
  <Entry>{grew ? <Note>{words}</Note> : <p class="quiet">{words}</p>}</Entry>
);
