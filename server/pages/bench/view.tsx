import { Document, pageHtml } from "../../html/document.tsx";
import { Entry } from "../../html/entry.tsx";
import { Note } from "../../html/note.tsx";
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
import { BuildAside } from "./buildAside.tsx";
import { MeaningEntry } from "./contestedView.tsx";
import { InterruptedEntry } from "./interrupted.tsx";
import { InventedMachine } from "./invented.tsx";
import { NoticeEntry, ReadEntry, RefusalEntry } from "./notice.tsx";
import { RunningEntry } from "./running.tsx";
import type { Running, Shown, Trying } from "./shown.ts";
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

const Bench = ({ shown }: WithShown) => {
  const { running, trying } = shown;
  return (
    <>
      <JustDone shown={shown} />
      <Interruptions shown={shown} />
      {running ? <RunsNow shown={shown} running={running} /> : null}
      {running ? <ReadOfLast shown={shown} /> : null}
      {isBooted(shown.attended) ? null : <Told shown={shown} />}
      {trying ? <TryNow shown={shown} trying={trying} /> : null}
      {running ? null : <ReadOfLast shown={shown} />}
      {trying ? <MapSoFar shown={shown} trying={trying} /> : <AnswerEntry shown={shown} />}
      {isBooted(shown.attended) ? <Told shown={shown} /> : null}
      <AlsoRunning shown={shown} />
      <BeforeEntries shown={shown} />
      {shown.mayInvent ? <InventedMachine buildId={shown.shown.build.id} pursuit={shown.pursuit} /> : null}
    </>
  );
};

type WithShown = Readonly<{ shown: Shown }>;

/** What was kept last, while it is told. */
const keptIn = ({ notice }: Pick<Shown, "notice">) => (notice && "kept" in notice ? notice : null);

/** What was just refused or done, and what a failure among it may mean. */
const JustDone = ({ shown }: WithShown) => {
  const { refusal, notice, running } = shown;
  const kept = keptIn(shown);
  return (
    <>
      {refusal ? <RefusalEntry refusal={refusal} /> : null}
      {notice && !running ? (
        <NoticeEntry notice={notice} chip={shown.shown.chip} pursuit={shown.pursuit} once={shown.once} />
      ) : null}
      {kept && !running ? (
        <MeaningEntry notice={kept} answer={shown.answer} first={shown.trying === null} />
      ) : null}
    </>
  );
};

const Interruptions = ({ shown: { interrupted, workloads, once } }: WithShown) => {
  const loads = loadNames(workloads);
  return (
    <>
      {interrupted.map((one, i) => (
        <InterruptedEntry
          key={one.attempt.id}
          shown={one}
          first={i === 0}
          loadName={loads.get(one.attempt.workloadId) ?? ""}
          once={once}
        />
      ))}
    </>
  );
};

/** What runs: attended by a machine, or by the tester. */
const RunsNow = ({ shown, running }: WithShown & Readonly<{ running: Running }>) => {
  const { attended, now } = shown;
  const run = {
    running,
    attended,
    chip: shown.shown.chip,
    first: shown.interrupted.length === 0,
    loadName: loadNames(shown.workloads).get(running.attempt.workloadId) ?? "",
    buildName: shown.shown.build.name,
    pursuit: shown.pursuit,
    once: shown.once,
  };
  return attended.isRunner ? <AttendedEntry {...run} /> : <RunningEntry {...run} now={now} />;
};

/** Room for what was read of the attempt kept last. */
const ReadOfLast = ({ shown }: WithShown) => {
  const kept = keptIn(shown);
  return kept ? (
    <ReadEntry notice={kept} chip={shown.shown.chip} pursuit={shown.pursuit} once={shown.once} />
  ) : null;
};

/** The build on the bench and what to try on it, with the machine that attends above the dials or below them. */
const TryNow = ({ shown, trying }: TryingProps) => (
  <Entry aside={<BuildAside shown={shown} />}>
    {shown.attended.attendant ? <AttendedPiece attended={shown.attended} /> : null}
    <BootedOrTrying shown={shown} trying={trying} />
    {shown.attended.attendant ? null : <AttendedPiece attended={shown.attended} />}
  </Entry>
);

const AnswerEntry = ({ shown }: WithShown) => (
  <Entry aside={<b>The answer so far</b>}>
    <p>
      <AnswerLine buildId={shown.shown.build.id} answer={shown.answer} />
    </p>
  </Entry>
);

/** The voltages of the map and how many of them are done, where there is more than one or some were named. */
const MapSoFar = ({ shown: { shown, answer }, trying }: TryingProps) => {
  const { atVoltages } = answer;
  const { voltagesMv } = trying.asked;
  const mapped = new Set([...atVoltages.map(({ voltageMv }) => voltageMv), ...voltagesMv]);
  return atVoltages.length > 1 || voltagesMv.length > 0 ? (
    <Entry
      aside={
        <>
          <b>The map</b>
          <p>
            {atVoltages.filter(({ done }) => done).length} of {mapped.size} voltages
          </p>
          <a href={`${paths.build(shown.build.id)}#frontier`}>table</a>
        </>
      }
    >
      <Rungs answer={answer} namedMv={voltagesMv} />
    </Entry>
  ) : null;
};

const AlsoRunning = ({ shown: { alsoRunning } }: WithShown) => (
  <>
    {alsoRunning.map(({ attempt, units, buildName }) => (
      <Entry key={attempt.id}>
        <Note kind="plain">
          Also running: <a href={paths.bench({ build: attempt.buildId })}>{settingWords(attempt, units)}</a>{" "}
          on {buildName}.
        </Note>
      </Entry>
    ))}
  </>
);

const Told = ({ shown: { shown, told, trying, attended, pursuit, once } }: WithShown) =>
  told && trying ? (
    <ToldEntry
      attempt={told}
      chip={shown.chip}
      teller={attended.attendant?.name ?? "the machine itself"}
      pursuit={pursuit}
      once={once}
    />
  ) : null;

type TryingProps = WithShown & Readonly<{ trying: Trying }>;

/** A machine that has started anew asks one question; the dials come where it is set otherwise. */
const BootedOrTrying = ({ shown, trying }: TryingProps) => {
  const { attended, interrupted, workloads } = shown;
  const toSet = toSetNext(trying, shown.shown.chip);
  const first = interrupted.length === 0;
  const more = { trying, workloads, first, shown: shown.shown, once: shown.once, answer: shown.answer };
  if (isBooted(attended) && !shown.isOtherwise && toSet !== null)
    return <BootedBody attended={attended} toSet={toSet} {...more} />;
  return (
    <>
      {isToBeSet(attended) && toSet !== null ? <ToBeSet attended={attended} /> : null}
      <TryingBody {...more} left={shown.left} kept={keptIn(shown)} />
    </>
  );
};
