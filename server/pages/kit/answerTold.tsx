import type { BuildAnswer } from "../../answers/answerOf.ts";
import {
  nearerInWords,
  passesInWords,
  reckoningInWords,
  restsInWords,
  stateInWords,
} from "../../bench/best/answerWords.ts";
import { chanceInWords } from "../../bench/next/nextWords.ts";
import { ButtonLink } from "../../html/act.tsx";
import { Fold } from "../../html/entry.tsx";
import { formatNumber } from "../../html/format.ts";
import { paths } from "../paths.ts";
import { Setting } from "./settingWords.tsx";

export type AnswerShown = Readonly<{ buildId: string; answer: BuildAnswer }>;

const sentence = (words: string): string => `${words.charAt(0).toUpperCase()}${words.slice(1)}.`;

/** Which build an answer is of, and how far the search is, for scripts that read the page. */
export const answerMarks = ({ buildId, answer }: AnswerShown) => ({
  "data-answer": buildId,
  "data-state": answer.state,
  "data-reckoning": answer.reckoning ? "" : undefined,
});

/** The whole answer in one line, for a page that is about something else. */
export const AnswerLine = ({ buildId, answer, name }: AnswerShown & Readonly<{ name?: string }>) => (
  <span {...answerMarks({ buildId, answer })}>
    {name === undefined ? null : (
      <>
        <a href={paths.build(buildId)}>{name}</a>:{" "}
      </>
    )}
    {answer.setting === null ? (
      "No setting to run yet."
    ) : (
      <>
        Run <Setting {...answer.setting} />: {passesInWords(answer.setting)}. {stateInWords[answer.state]}.
      </>
    )}
    {answer.reckoning ? ` ${reckoningInWords}` : ""}
  </span>
);

/** How sure it is, what it rests on, and what speaks for stopping. */
export const AnswerLead = ({ answer, hottestAmbientC }: Pick<AnswerShown, "answer"> & Room) => {
  const { setting, state, restsOn, nearer, because } = answer;
  if (setting === null) return <p class="lead">{because[0]}</p>;
  const spare =
    setting.marginC === null
      ? ""
      : `; ${formatNumber(Math.round(setting.marginC))} °C to spare in a ${formatNumber(hottestAmbientC)} °C room`;
  return (
    <>
      <p class="lead">
        <b>{stateInWords[state]}.</b> {sentence(`${passesInWords(setting)}${spare}`)}
      </p>
      <p class="rests">
        From {restsInWords(restsOn)}.
        {state === "done" && nearer !== null ? ` Good enough to stop: ${nearerInWords(nearer)}.` : ""}
      </p>
    </>
  );
};

type Room = Readonly<{ hottestAmbientC: number }>;

/** The highest that ever passed, small, and why it is not the answer. */
export const HighestSeen = ({ answer: { highestSeen } }: Pick<AnswerShown, "answer">) =>
  highestSeen === null ? null : (
    <p class="quiet">
      Highest seen:{" "}
      <a href={paths.attempt(highestSeen.attemptId)}>
        <Setting {...highestSeen} />
      </a>
      . {highestSeen.because}
    </p>
  );

/** What might be better and has not run, with the way to run it. */
export const WorthTrying = ({ buildId, answer: { worthTrying } }: AnswerShown) => {
  if (worthTrying === null) return null;
  const { clockMhz, voltageMv, chanceOfPass, workloadId } = worthTrying;
  return (
    <p class="quiet">
      Worth trying: <Setting clockMhz={clockMhz} voltageMv={voltageMv} />, which has not run; ten minutes
      there pass {chanceInWords(chanceOfPass)} times.{" "}
      <a href={paths.bench({ build: buildId, clockMhz, voltageMv, minutes: 10, workloadId })}>Try it</a>
    </p>
  );
};

/** What moved the answer since it was last shown. */
export const WhyChanged = ({ answer: { changedBecause } }: Pick<AnswerShown, "answer">) =>
  changedBecause.length === 0 ? null : (
    <Fold title="Why did it change?">
      <ul class="rows">
        {changedBecause.map(({ attemptId, words }) => (
          <li key={words}>{attemptId === null ? words : <a href={paths.attempt(attemptId)}>{words}</a>}</li>
        ))}
      </ul>
    </Fold>
  );

export const NoteLink = ({ buildId, answer }: AnswerShown) =>
  answer.setting === null ? null : (
    <ButtonLink letter="n" href={paths.settingNote(buildId)}>
      Note for firmware
    </ButtonLink>
  );
