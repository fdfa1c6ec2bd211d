import type { BuildAnswer } from "../../answers/answerOf.ts";
import {
  conditionsInWords,
  nearerInWords,
  offsetsInWords,
  offsetsPassInWords,
  passesInWords,
  reckoningInWords,
  restsInWords,
  stateInWords,
} from "../../bench/best/answerWords.ts";
import { chanceInWords } from "../../bench/next/nextWords.ts";
import { levelInWords } from "../../bench/scale/scaleWords.ts";
import type { UnitOfClock } from "../../bench/things/words.ts";
import { ButtonLink } from "../../html/act.tsx";
import { Fold, LineWithMore } from "../../html/entry.tsx";
import { formatNumber } from "../../html/format.ts";
import { Unbroken } from "../../html/quantity.tsx";
import { paths } from "../paths.ts";
import { clocksIn, useClockUnit } from "./clockUnit.ts";
import { SettingInWords, settingWords } from "./settingWords.tsx";
import { unparted } from "./unparted.ts";

export type AnswerShown = Readonly<{ buildId: string; answer: BuildAnswer }>;

const sentence = (words: string): string => `${words.charAt(0).toUpperCase()}${words.slice(1)}.`;

/** What to run as plain text; null where nothing is told. */
export const runInWords = (
  { setting, byOffset }: Pick<BuildAnswer, "setting" | "byOffset">,
  clockUnit: UnitOfClock,
): string | null =>
  setting === null ? byOffset && offsetsInWords(byOffset) : settingWords(setting, clocksIn(clockUnit));

/** Which build an answer is of, and how far the search is, for scripts that read the page. */
export const answerMarks = ({ buildId, answer }: AnswerShown) => ({
  "data-answer": buildId,
  "data-state": answer.state,
  "data-reckoning": answer.reckoning ? "" : undefined,
});

type LineProps = AnswerShown &
  Readonly<{
    name?: string;
    /** Beside what to try next it is called what it is, so that nobody takes the one for the other. */
    isSoFar?: boolean;
  }>;

/** The whole answer in one line, for a page that is about something else. */
export const AnswerLine = ({ buildId, answer, name, isSoFar = false }: LineProps) => {
  const run = isSoFar ? <b>So far:</b> : "Run";
  return (
    <span {...answerMarks({ buildId, answer })}>
      {name === undefined ? null : (
        <>
          <a href={paths.build(buildId)}>{name}</a>:{" "}
        </>
      )}
      {answer.byOffset !== null && offsetsInWords(answer.byOffset) !== null ? (
        <>
          {run} {unparted(offsetsInWords(answer.byOffset)!)}: {offsetsPassInWords(answer.byOffset)}.{" "}
          {stateInWords[answer.state]}.
        </>
      ) : answer.setting === null ? (
        <>
          No setting to run yet.{" "}
          {answer.state === "looking" ? <a href={paths.build(buildId)}>What is missing</a> : null}
        </>
      ) : (
        <>
          {run} <SettingInWords {...answer.setting} />: {passesInWords(answer.setting)}.{" "}
          {stateInWords[answer.state]}.
        </>
      )}
      {answer.reckoning ? ` ${reckoningInWords}` : ""}
    </span>
  );
};

/** How sure it is, what it rests on, and what speaks for stopping. */
export const AnswerLead = ({ answer, hottestAmbientC }: Pick<AnswerShown, "answer"> & Room) =>
  isTold(answer) ? (
    <>
      <p class="lead">
        <AnswerSure answer={answer} hottestAmbientC={hottestAmbientC} />
      </p>
      <AnswerRests answer={answer} />
    </>
  ) : (
    <p class="lead">{answer.because[0]}</p>
  );

/** Whether there is a setting to run. */
export const isTold = ({ setting, byOffset }: Pick<BuildAnswer, "setting" | "byOffset">): boolean =>
  setting !== null || (byOffset !== null && offsetsInWords(byOffset) !== null);

/** The state of the search and how sure its answer is, in one line. */
export const AnswerSure = ({ answer, hottestAmbientC }: Pick<AnswerShown, "answer"> & Room) => {
  const { setting, state, byOffset } = answer;
  const marginC = setting?.marginC ?? null;
  const foretold = setting?.marginFrom === "forecast" ? ", by forecast" : "";
  const spare =
    marginC === null
      ? ""
      : `; ${formatNumber(Math.round(marginC))} °C to spare in a ${formatNumber(hottestAmbientC)} °C room${foretold}`;
  const passes =
    byOffset !== null && offsetsInWords(byOffset) !== null
      ? offsetsPassInWords(byOffset)
      : setting === null
        ? ""
        : `${passesInWords(setting)}${spare}`;
  return (
    <>
      <b>{stateInWords[state]}.</b> {sentence(passes)}
    </>
  );
};

export const AnswerRests = ({ answer }: Pick<AnswerShown, "answer">) => (
  <p class="rests">
    <Unbroken words={conditionsInWords(answer)} /> From {restsInWords(answer.restsOn)}.
    {answer.state === "done" ? <GoodEnough nearer={answer.nearer} /> : null}
  </p>
);

const GoodEnough = ({ nearer }: Pick<BuildAnswer, "nearer">) => (
  <> Good enough to stop{nearer === null ? "" : `: ${nearerInWords(nearer, useClockUnit())}`}.</>
);

type Room = Readonly<{ hottestAmbientC: number }>;

/** The highest that ever passed, small, and why it is not the answer. */
export const HighestSeen = ({ answer: { highestSeen, byOffset } }: Pick<AnswerShown, "answer">) =>
  highestSeen === null ? (
    <HardestSeen byOffset={byOffset} />
  ) : (
    <p class="quiet">
      Highest seen:{" "}
      <a href={paths.attempt(highestSeen.attemptId)}>
        <SettingInWords {...highestSeen} />
      </a>
      . {highestSeen.because}
    </p>
  );

/** The same of a chip that is set as a whole by its offset; with parts each one's row says it. */
const HardestSeen = ({ byOffset }: Pick<BuildAnswer, "byOffset">) => {
  const [whole, ...others] = byOffset?.parts ?? [];
  const seen = whole?.hardestSeen ?? null;
  if (byOffset === null || seen === null || others.length > 0) return null;
  const { level, attemptId, because } = seen;
  return (
    <p class="quiet">
      Hardest seen:{" "}
      <a href={paths.attempt(attemptId)}>{levelInWords({ name: "", unit: byOffset.unit }, level).trim()}</a>.{" "}
      {because}
    </p>
  );
};

/** What might be better and has not run, with the way to run it. */
export const WorthTrying = ({ buildId, answer: { worthTrying } }: AnswerShown) => {
  if (worthTrying === null) return null;
  const { clockMhz, voltageMv, chanceOfPass, workloadId } = worthTrying;
  return (
    <p class="quiet">
      Worth trying: <SettingInWords clockMhz={clockMhz} voltageMv={voltageMv} />, which has not run; ten
      minutes there pass {chanceInWords(chanceOfPass)} times.{" "}
      <a href={paths.bench({ build: buildId, clockMhz, voltageMv, minutes: 10, workloadId })}>Try it</a>
    </p>
  );
};

/** What moved the answer since it was last shown. */
export const WhyChanged = ({ answer }: Pick<AnswerShown, "answer">) =>
  answer.changedBecause.length === 0 ? null : (
    <Fold title="Why did it change?">
      <Changes answer={answer} />
    </Fold>
  );

const Changes = ({ answer: { changedBecause } }: Pick<AnswerShown, "answer">) => (
  <ul class="rows">
    {changedBecause.map(({ attemptId, words }) => (
      <li key={words}>{attemptId === null ? words : <a href={paths.attempt(attemptId)}>{words}</a>}</li>
    ))}
  </ul>
);

/** The answer while it is looked for, in one line; what moved it is a tap away, where nothing else in the line is to be tapped. */
export const AnswerWithChanges = (shown: AnswerShown) => {
  const { answer } = shown;
  const line = <AnswerLine {...shown} isSoFar={answer.state !== "done"} />;
  if (answer.changedBecause.length === 0 || answer.setting === null)
    return (
      <>
        <p class="answer">{line}</p>
        <WhyChanged answer={answer} />
      </>
    );
  return (
    <div class="answer">
      <LineWithMore line={line} more="Changed">
        <Changes answer={answer} />
      </LineWithMore>
    </div>
  );
};

export const NoteLink = ({ buildId, answer }: AnswerShown) =>
  answer.setting === null && (answer.byOffset === null || offsetsInWords(answer.byOffset) === null) ? null : (
    <ButtonLink letter="n" href={paths.settingNote(buildId)}>
      What to enter
    </ButtonLink>
  );
