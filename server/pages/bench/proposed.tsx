import type { Advice, AdviceQuestion } from "../../answers/advice.ts";
import { knobIn } from "../../answers/adviceAlong.ts";
import type { BuildAnswer } from "../../answers/answerOf.ts";
import { isReasonAlone } from "../../bench/next/nextWords.ts";
import type { Chip } from "../../bench/things/chip.ts";
import type { Workload } from "../../bench/things/workload.ts";
import { Key } from "../../html/act.tsx";
import { EntryHeading, LineWithMore } from "../../html/entry.tsx";
import { formatDuration } from "../../html/format.ts";
import { Note } from "../../html/note.tsx";
import { ClockUnit } from "../kit/clockUnit.ts";
import { Clock, SettingInWords, settingWords } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";
import { isDone, nextWords, pursuitOf } from "./advised.ts";
import { AnswerBody, AnswerHead, AnswerSoFar, LeftBelow } from "./answered.tsx";
import { RunNow } from "./contestedView.tsx";
import { DialledSetting, DialledTime } from "./dialled.tsx";
import { KnobProposed, knobPiece } from "./knobProposed.tsx";
import { Late } from "./late.tsx";
import { OffsetProposed, offsetPiece } from "./offsetProposed.tsx";
import { aimWords, benchAddress } from "./otherwise.tsx";
import { Plan } from "./plan.tsx";
import type { Shown, Trying } from "./shown.ts";
import { setFirst } from "./toSet.ts";

type Props = Readonly<{
  trying: Trying;
  chip: Chip;
  answer: BuildAnswer;
  workloads: readonly Workload[];
  first: boolean;
}>;

/**
 * The attempt to make next; its reason, and what is settled at another voltage already, a tap away. Where something else
 * than the highest clock was asked for, that it is settled comes first.
 */
export const Proposed = ({ trying, chip, answer, workloads, first }: Props) => {
  const { advice } = trying;
  const settled = isDone(answer, trying.asked) ? null : advice.settled;
  const isOwnAim = trying.asked.aim !== "clock";
  const { proposal } = advice;
  const knob = trying.asked.aim === "knob" ? knobIn(chip, trying.asked.knob) : null;
  if (knob !== null) return <KnobProposed trying={trying} knob={knob} chip={chip} first={first} />;
  if (advice.byOffset !== null)
    return <OffsetProposed {...{ trying, chip, answer, first }} byOffset={advice.byOffset} />;
  if ("missing" in proposal)
    return (
      <>
        <EntryHeading first={first}>{missingWords[proposal.missing]}</EntryHeading>
        <p class="lead">{proposal.because}</p>
        {proposal.missing === "offset" || proposal.missing === "fit" ? <Late trying={trying} /> : null}
      </>
    );
  const load = workloads.find(({ id }) => id === trying.form.typed.workloadId) ?? null;
  const dialled = { proposed: proposal, set: trying.heat, load };
  // What only gives a reason for what is proposed is a tap away; what failed is heard first.
  const isFolded = (caution: string) => isDone(answer, trying.asked) || isReasonAlone(caution);
  const [folded, standing] = [
    advice.blocked.filter(isFolded),
    advice.blocked.filter((caution) => !isFolded(caution)),
  ];
  return (
    <>
      <EntryHeading first={first}>
        {nextWords(answer, trying)} <DialledSetting dialled={dialled} />
      </EntryHeading>
      <LookingFor trying={trying} />
      {settled !== null && isOwnAim ? <p class="lead answer">{settled}</p> : null}
      <LineWithMore line={<DialledTime dialled={dialled} />} more="Why" keep="why">
        <p>
          {setFirst(chip, "these")} {proposal.because}
          <Start trying={trying} />
        </p>
        {settled !== null && !isOwnAim ? <p>{settled}</p> : null}
        {folded.map((caution) => (
          <p key={caution}>{caution}</p>
        ))}
      </LineWithMore>
      <Plan trying={trying} answer={answer} />
      <Late trying={trying} />
      {standing.map((caution) => (
        <Note key={caution}>
          <p>{caution}</p>
        </Note>
      ))}
    </>
  );
};

const missingWords = {
  workload: "What will load the chip?",
  setting: "Choose a first setting",
  offset: "Choose the next offset",
  fit: "The dials stand at the answer",
} as const;

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
      <a href={benchAddress(trying, { aim: null, atMhz: null, atMv: null, skip: null })}>
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
        <a href={benchAddress(trying, { pooled: null })}>Count it as a start</a>.
      </>
    );
  return advice.taughtBy.length === 0 ? null : (
    <>
      {" "}
      <a href={benchAddress(trying, { pooled: "no" })}>Leave out what it showed there</a>.
    </>
  );
};

/** What the fit says, where the page came before it: the proposal where it does not stand yet, and the answer as it is now wherever it stands. */
export const latePieces = (
  advice: Advice,
  asked: AdviceQuestion,
  { shown: { build, chip }, answer, trying, left }: Shown,
  isAnswerAlone: boolean,
) => (
  <ClockUnit.Provider value={chip.clockUnit}>
    {isAnswerAlone ? null : latePiece(advice, asked, chip)}
    <AnswerHead build={build} answer={answer} />
    <AnswerBody build={build} answer={answer} />
    <AnswerSoFar buildId={build.id} answer={answer} proposal={advice.proposal} />
    <RunNow answer={answer} />
    {trying ? <LeftBelow build={build} answer={answer} trying={trying} left={left} /> : null}
  </ClockUnit.Provider>
);

/**
 * What the fit proposes, where the page came before it: told in the line that was kept for it, so that nothing moves
 * under a thumb, and taken with one tap.
 */
const latePiece = (advice: Advice, asked: AdviceQuestion, chip: Chip) => {
  const { proposal, from, blocked, byOffset, byKnob } = advice;
  if (byKnob !== null) return knobPiece(byKnob, asked);
  if (byOffset !== null && from === "fit") return offsetPiece(byOffset, asked, chip);
  if (from === "plain" || "missing" in proposal) return <p class="late">{blocked.join(" ")}</p>;
  const { clockMhz, voltageMv, workloadId, durationS } = proposal;
  const taken = paths.bench({
    build: asked.buildId,
    ...{ clockMhz, voltageMv, workloadId, minutes: durationS / 60 },
    ...pursuitOf(asked),
  });
  return (
    <p class="late" data-said={`The whole record proposes ${settingWords(proposal, chip)}.`}>
      Better:{" "}
      <a href={taken} data-key="w" aria-keyshortcuts="w">
        <SettingInWords clockMhz={clockMhz} voltageMv={voltageMv} />, {formatDuration(durationS)}
      </a>{" "}
      <Key letter="w" />
    </p>
  );
};
