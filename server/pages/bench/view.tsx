import { aimInWords } from "../../bench/things/aim.ts";
import { Button } from "../../html/act.tsx";
import { Document, pageHtml } from "../../html/document.tsx";
import { Entry, Fold } from "../../html/entry.tsx";
import { ChoiceField } from "../../html/field.tsx";
import { Note } from "../../html/note.tsx";
import { AimForm } from "../kit/aimForm.tsx";
import { AnswerLine } from "../kit/answerTold.tsx";
import { loadNames } from "../kit/attemptTable.tsx";
import { ClockUnit } from "../kit/clockUnit.ts";
import type { PageContext } from "../kit/context.ts";
import { Rungs } from "../kit/rungs.tsx";
import { settingWords } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";
import { frameOf } from "../siteMap.ts";
import { AttendedPiece } from "./attended.tsx";
import { AttendedEntry } from "./attendedEntry.tsx";
import { isBooted, isToBeSet } from "./attendedShown.ts";
import { BeforeEntries } from "./before.tsx";
import { BootedBody, ToBeSet } from "./booted.tsx";
import { MeaningEntry } from "./contestedView.tsx";
import { InterruptedEntry } from "./interrupted.tsx";
import { InventedMachine } from "./invented.tsx";
import { NoticeEntry, ReadEntry, RefusalEntry } from "./notice.tsx";
import { RunningEntry } from "./running.tsx";
import type { Shown, Trying } from "./shown.ts";
import { ToldEntry } from "./told.tsx";
import { toSetNext } from "./toSet.ts";
import { TryingBody } from "./trying.tsx";

/** The bench: what was interrupted, what runs, what to try now, and what came before. */
export const benchPage = (context: PageContext, shown: Shown): string =>
  pageHtml(
    <ClockUnit.Provider value={shown.shown.chip.clockUnit}>
      <Document title={titleOf(shown)} frame={frameOf(context, "bench")}>
        <Bench shown={shown} />
      </Document>
    </ClockUnit.Provider>,
  );

function titleOf({ running, interrupted, shown }: Shown): string {
  if (interrupted.length > 0) return "Interrupted";
  return running ? `Running ${settingWords(running.attempt, shown.chip)}` : "Bench";
}

const Bench = ({ shown }: { shown: Shown }) => {
  const { interrupted, running, trying, notice, workloads, alsoRunning, now } = shown;
  const loads = loadNames(workloads);
  const { build } = shown.shown;
  return (
    <>
      {shown.refusal ? <RefusalEntry refusal={shown.refusal} /> : null}
      {notice && !running ? (
        <NoticeEntry notice={notice} chip={shown.shown.chip} pursuit={shown.pursuit} once={shown.once} />
      ) : null}
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
      {running && shown.attended.isRunner ? (
        <AttendedEntry
          running={running}
          attended={shown.attended}
          chip={shown.shown.chip}
          first={interrupted.length === 0}
          loadName={loads.get(running.attempt.workloadId) ?? ""}
          buildName={build.name}
          pursuit={shown.pursuit}
          once={shown.once}
        />
      ) : running ? (
        <RunningEntry
          running={running}
          chip={shown.shown.chip}
          attended={shown.attended}
          now={now}
          first={interrupted.length === 0}
          loadName={loads.get(running.attempt.workloadId) ?? ""}
          buildName={build.name}
          pursuit={shown.pursuit}
          once={shown.once}
        />
      ) : null}
      {running && notice && "kept" in notice ? (
        <ReadEntry notice={notice} chip={shown.shown.chip} pursuit={shown.pursuit} once={shown.once} />
      ) : null}
      {isBooted(shown.attended) ? null : <Told shown={shown} />}
      {trying ? (
        <Entry aside={<BuildAside shown={shown} />}>
          {shown.attended.attendant ? <AttendedPiece attended={shown.attended} /> : null}
          <BootedOrTrying shown={shown} trying={trying} />
          {shown.attended.attendant ? null : <AttendedPiece attended={shown.attended} />}
        </Entry>
      ) : null}
      {!running && notice && "kept" in notice ? (
        <ReadEntry notice={notice} chip={shown.shown.chip} pursuit={shown.pursuit} once={shown.once} />
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
      {isBooted(shown.attended) ? <Told shown={shown} /> : null}
      {alsoRunning.map(({ attempt, units, buildName }) => (
        <Entry key={attempt.id}>
          <Note kind="plain">
            Also running: <a href={paths.bench({ build: attempt.buildId })}>{settingWords(attempt, units)}</a>{" "}
            on {buildName}.
          </Note>
        </Entry>
      ))}
      <BeforeEntries shown={shown} />
      {shown.mayInvent ? <InventedMachine buildId={build.id} pursuit={shown.pursuit} /> : null}
    </>
  );
};

const Told = ({ shown: { shown, told, trying, attended, pursuit, once } }: { shown: Shown }) =>
  told && trying ? (
    <ToldEntry
      attempt={told}
      chip={shown.chip}
      teller={attended.attendant?.name ?? "the machine itself"}
      pursuit={pursuit}
      once={once}
    />
  ) : null;

type BootedProps = Readonly<{ shown: Shown; trying: Trying }>;

/** A machine that has started anew asks one question; the dials come where it is set otherwise. */
const BootedOrTrying = ({ shown, trying }: BootedProps) => {
  const { attended, interrupted, notice, workloads } = shown;
  const toSet = toSetNext(trying, shown.shown.chip);
  const first = interrupted.length === 0;
  const more = { trying, workloads, first, shown: shown.shown, once: shown.once, answer: shown.answer };
  if (isBooted(attended) && !shown.isOtherwise && toSet !== null)
    return <BootedBody attended={attended} toSet={toSet} {...more} />;
  return (
    <>
      {isToBeSet(attended) && toSet !== null ? <ToBeSet attended={attended} /> : null}
      <TryingBody {...more} left={shown.left} kept={notice && "kept" in notice ? notice : null} />
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
        <AimForm buildId={build.id} aim={build} axis={chip.axis} back="bench" />
        <a href={paths.newBuild({ basedOn: build.id })}>new build</a>
      </Fold>
      <p class="parts">{aimInWords(build, chip.axis)}</p>
    </div>
  );
};
