import { aimInWords } from "../../bench/things/aim.ts";
import { Button } from "../../html/act.tsx";
import { Document, pageHtml } from "../../html/document.tsx";
import { Entry, Fold } from "../../html/entry.tsx";
import { ChoiceField } from "../../html/field.tsx";
import { Note } from "../../html/note.tsx";
import { AimForm } from "../kit/aimForm.tsx";
import { AnswerLine } from "../kit/answerTold.tsx";
import { loadNames } from "../kit/attemptTable.tsx";
import type { PageContext } from "../kit/context.ts";
import { Rungs } from "../kit/rungs.tsx";
import { settingWords } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";
import { frameOf } from "../siteMap.ts";
import { BeforeEntries } from "./before.tsx";
import { MeaningEntry } from "./contestedView.tsx";
import { InterruptedEntry } from "./interrupted.tsx";
import { NoticeEntry, ReadEntry, RefusalEntry } from "./notice.tsx";
import { RunningEntry } from "./running.tsx";
import type { Shown } from "./shown.ts";
import { TryingBody } from "./trying.tsx";

/** The bench: what was interrupted, what runs, what to try now, and what came before. */
export const benchPage = (context: PageContext, shown: Shown): string =>
  pageHtml(
    <Document title={titleOf(shown)} frame={frameOf(context, "bench")}>
      <Bench shown={shown} />
    </Document>,
  );

function titleOf({ running, interrupted }: Shown): string {
  if (interrupted.length > 0) return "Interrupted";
  return running ? `Running ${settingWords(running.attempt)}` : "Bench";
}

const Bench = ({ shown }: { shown: Shown }) => {
  const { interrupted, running, trying, notice, workloads, alsoRunning, now } = shown;
  const loads = loadNames(workloads);
  const { build } = shown.shown;
  return (
    <>
      {shown.refusal ? <RefusalEntry refusal={shown.refusal} /> : null}
      {notice && !running ? <NoticeEntry notice={notice} pursuit={shown.pursuit} once={shown.once} /> : null}
      {notice && "kept" in notice && !running ? (
        <MeaningEntry notice={notice} answer={shown.answer} first={trying === null} />
      ) : null}
      {interrupted.map((one, i) => (
        <InterruptedEntry
          key={one.attempt.id}
          shown={one}
          first={i === 0}
          loadName={loads.get(one.attempt.workloadId) ?? ""}
          once={shown.once}
        />
      ))}
      {running ? (
        <RunningEntry
          running={running}
          now={now}
          first={interrupted.length === 0}
          loadName={loads.get(running.attempt.workloadId) ?? ""}
          buildName={build.name}
          pursuit={shown.pursuit}
          once={shown.once}
        />
      ) : null}
      {running && notice && "kept" in notice ? (
        <ReadEntry notice={notice} pursuit={shown.pursuit} once={shown.once} />
      ) : null}
      {trying ? (
        <Entry aside={<BuildAside shown={shown} />}>
          <TryingBody
            trying={trying}
            shown={shown.shown}
            workloads={workloads}
            first={interrupted.length === 0}
            once={shown.once}
            answer={shown.answer}
            keptBefore={notice && "kept" in notice ? notice.kept.id : null}
          />
        </Entry>
      ) : null}
      {trying ? null : (
        <Entry aside={<b>The answer so far</b>}>
          <p>
            <AnswerLine buildId={build.id} answer={shown.answer} />
          </p>
        </Entry>
      )}
      {trying && (shown.answer.atVoltages.length > 1 || trying.asked.voltagesMv.length > 0) ? (
        <Entry
          aside={
            <>
              <b>The map</b>
              <p>
                {shown.answer.atVoltages.filter(({ done }) => done).length} of{" "}
                {
                  new Set([
                    ...shown.answer.atVoltages.map(({ voltageMv }) => voltageMv),
                    ...trying.asked.voltagesMv,
                  ]).size
                }{" "}
                voltages
              </p>
              <a href={`${paths.build(build.id)}#frontier`}>table</a>
            </>
          }
        >
          <Rungs answer={shown.answer} namedMv={trying.asked.voltagesMv} />
        </Entry>
      ) : null}
      {alsoRunning.map(({ attempt, buildName }) => (
        <Entry key={attempt.id}>
          <Note kind="plain">
            Also running: <a href={paths.bench({ build: attempt.buildId })}>{settingWords(attempt)}</a> on{" "}
            {buildName}.
          </Note>
        </Entry>
      ))}
      <BeforeEntries shown={shown} />
    </>
  );
};

const BuildAside = ({ shown: { shown, builds } }: { shown: Shown }) => {
  const { build, chip, board } = shown;
  const words = [build.cooler, build.fans, build.case].filter((part) => part !== "").join(", ");
  return (
    <div class="who">
      <p>
        <b>
          <a href={paths.build(build.id)}>{build.name}</a>
        </b>
      </p>
      <p class="parts">
        {chip.name}
        {board ? ` on ${board.name}` : ""}
      </p>
      {words ? <p class="parts">{words}</p> : null}
      <Fold title="change">
        {builds.length > 1 ? (
          <form method="get" action={paths.bench()}>
            <ChoiceField
              name="build"
              label="Build"
              value={build.id}
              choices={builds.map(({ id, name }) => ({ value: id, title: name }))}
            />
            <Button>Show</Button>
          </form>
        ) : null}
        <AimForm buildId={build.id} aim={build} back="bench" />
        <a href={paths.newBuild({ basedOn: build.id })}>new build</a>
      </Fold>
      <p class="parts">{aimInWords(build)}</p>
    </div>
  );
};
