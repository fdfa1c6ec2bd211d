import type { BuildAnswer } from "../../answers/answerOf.ts";
import type { Advice, AdviceAsked } from "../../answers/benchAdvice.ts";
import type { Proposal } from "../../answers/proposal.ts";
import { LineWithMore } from "../../html/entry.tsx";
import { formatDuration } from "../../html/format.ts";
import { Note } from "../../html/note.tsx";
import { Clock, Setting, settingWords } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";
import { pursuitOf } from "./advised.ts";
import { AnswerSoFar } from "./answered.tsx";
import { addressOf, aimWords, questionOf } from "./otherwise.tsx";
import { Plan } from "./plan.tsx";
import type { Trying } from "./shown.ts";

type Props = Readonly<{ trying: Trying; answer: BuildAnswer; first: boolean }>;

/** The attempt to make next, with its reason; what is settled already comes first. */
export const Proposed = ({ trying, answer, first }: Props) => {
  const Heading = first ? "h1" : "h2";
  const { advice } = trying;
  const { proposal } = advice;
  if ("missing" in proposal)
    return (
      <>
        <Heading>
          {proposal.missing === "workload" ? "What will load the chip?" : "Choose a first setting"}
        </Heading>
        <p class="lead">{proposal.because}</p>
      </>
    );
  return (
    <>
      <Heading>
        Next: <Setting {...proposal} />
      </Heading>
      <LookingFor trying={trying} />
      {advice.settled ? <p class="lead answer">{advice.settled}</p> : null}
      <LineWithMore line={<HowLong proposal={proposal} />} more="Why" keep="why">
        <p>
          Set these in firmware, then arm. {proposal.because}
          <Start trying={trying} />
        </p>
      </LineWithMore>
      <Plan trying={trying} answer={answer} />
      {trying.awaited ? (
        <p class="late" data-later={paths.advice(questionOf(trying))}>
          Weighing the whole record…
        </p>
      ) : null}
      {advice.blocked.filter(isSaidOnlyHere).map((caution) => (
        <Note key={caution}>
          <p>{caution}</p>
        </Note>
      ))}
    </>
  );
};

/** How long it runs, and how long the bench is taken up by it. */
const HowLong = ({ proposal: { durationS, expectedMinutes } }: { proposal: Proposal }) => (
  <>
    For <b>{formatDuration(durationS)}</b>
    {expectedMinutes === null ? "" : `, ${formatDuration(60 * expectedMinutes)} with setting up`}.
  </>
);

/** The usual aim needs no words; another one is said, with the way back. */
const LookingFor = ({ trying }: { trying: Trying }) => {
  const { aim, clockMhz } = trying.asked;
  if (aim === "clock") return null;
  return (
    <p class="lead">
      Looking for{" "}
      {aim === "voltage" && clockMhz !== null ? (
        <>
          the lowest voltage that holds <Clock mhz={clockMhz} />
        </>
      ) : (
        aimWords[aim]
      )}
      .{" "}
      <a href={addressOf(trying, { aim: null, atMhz: null, atMv: null, skip: null })}>
        The highest clock instead
      </a>
    </p>
  );
};

/** What other builds of the chip taught can be left out, and counted again. */
const Start = ({ trying }: { trying: Trying }) => {
  const { advice, asked } = trying;
  if (!asked.pooled)
    return (
      <>
        {" "}
        What the chip showed on other builds is left out.{" "}
        <a href={addressOf(trying, { pooled: null })}>Count it as a start</a>.
      </>
    );
  return advice.taughtBy.length === 0 ? null : (
    <>
      {" "}
      <a href={addressOf(trying, { pooled: "no" })}>Leave out what it showed there</a>.
    </>
  );
};

/** The heat forecast before the button says what it has to say of the limit; once is enough. */
const isSaidOnlyHere = (caution: string): boolean => !caution.includes("temperature limit");

/** What the fit says, where the page came before it: the proposal, and the answer so far as it is now. */
export const latePieces = (advice: Advice, asked: AdviceAsked, answer: BuildAnswer) => (
  <>
    {latePiece(advice, asked)}
    <AnswerSoFar buildId={asked.buildId} answer={answer} />
  </>
);

/**
 * What the fit proposes, where the page came before it: told in the line that was kept for it, so that nothing moves
 * under a thumb, and taken with one tap.
 */
const latePiece = ({ proposal, from, blocked }: Advice, asked: AdviceAsked) => {
  if (from === "plain" || "missing" in proposal) return <p class="late">{blocked.join(" ")}</p>;
  const { clockMhz, voltageMv, workloadId, durationS } = proposal;
  const taken = paths.bench({
    build: asked.buildId,
    ...{ clockMhz, voltageMv, workloadId, minutes: durationS / 60 },
    ...pursuitOf(asked),
  });
  return (
    <p class="late" data-said={`The whole record proposes ${settingWords(proposal)}.`}>
      The whole record:{" "}
      <a href={taken}>
        <Setting clockMhz={clockMhz} voltageMv={voltageMv} />, {formatDuration(durationS)}
      </a>
    </p>
  );
};
