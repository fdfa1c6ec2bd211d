import type { BuildAnswer } from "../../answers/answerOf.ts";
import type { NoProposal, ProposalTold } from "../../answers/proposal.ts";
import type { Build } from "../../bench/things/build.ts";
import { Act } from "../../html/act.tsx";
import { EntryHeading, LineWithMore } from "../../html/entry.tsx";
import {
  AnswerRests,
  AnswerSure,
  AnswerWithChanges,
  answerMarks,
  HighestSeen,
  NoteLink,
  runInWords,
  WhyChanged,
  WorthTrying,
} from "../kit/answerTold.tsx";
import { useClockUnit } from "../kit/clockUnit.ts";
import { SettingInWords } from "../kit/settingWords.tsx";
import { unparted } from "../kit/unparted.ts";
import { isDone } from "./advised.ts";
import { WhatIsLeft } from "./left.tsx";
import type { Left } from "./leftShown.ts";
import type { Trying } from "./shown.ts";

type Props = Readonly<{ build: Build; answer: BuildAnswer; trying: Trying; left: Left; first: boolean }>;

/** Done: what to run stands above everything else. */
export const AnswerAbove = ({ build, answer, trying, first }: Omit<Props, "left">) => {
  if (!isDone(answer, trying.asked)) return null;
  return (
    <>
      <EntryHeading first={first}>
        <AnswerHead build={build} answer={answer} />
      </EntryHeading>
      <AnswerBody build={build} answer={answer} />
    </>
  );
};

type OfBuild = Pick<Props, "build" | "answer">;

/** What to run, in a heading: once the whole record was weighed it takes the place of the one that stands. */
export const AnswerHead = ({ build, answer }: OfBuild) => {
  const { setting } = answer;
  const told = runInWords(answer, useClockUnit());
  const said = told === null ? "No setting to run yet." : `Run ${told}.`;
  return (
    <span id="answer-head" data-only="" data-said={said} {...answerMarks({ buildId: build.id, answer })}>
      {told === null ? (
        "No setting to run yet"
      ) : (
        <>Run {setting === null ? unparted(told) : <SettingInWords {...setting} />}</>
      )}
    </span>
  );
};

/** How sure that is, and on what; whether it is enough is said as the search stands by now. */
export const AnswerBody = ({ build, answer }: OfBuild) => (
  <div id="answer-body" data-only="">
    <LineWithMore
      line={
        runInWords(answer, useClockUnit()) === null ? (
          answer.because[0]
        ) : (
          <AnswerSure answer={answer} hottestAmbientC={build.hottestAmbientC} />
        )
      }
      more="More"
      keep="done"
    >
      <AnswerRests answer={answer} />
      <HighestSeen answer={answer} />
      <WhyChanged answer={answer} />
    </LineWithMore>
  </div>
);

/** Second to it, and below what may be tried at once; nothing is left over of a search that goes on. */
export const LeftBelow = ({ build, answer, trying, left }: Omit<Props, "first">) => (
  <div id="left-below" data-only="">
    {isDone(answer, trying.asked) ? (
      <>
        <Act>
          <NoteLink buildId={build.id} answer={answer} />
        </Act>
        <WhatIsLeft buildId={build.id} answer={answer} trying={trying} left={left} />
      </>
    ) : null}
  </div>
);

type SoFarProps = Readonly<{ buildId: string; answer: BuildAnswer; proposal: ProposalTold | NoProposal }>;

/** While it is looked for: one line under what to try. Once weighed it takes the place of the line that stands. */
export const AnswerSoFar = ({ buildId, answer, proposal }: SoFarProps) => (
  <div id="answer-so-far" data-only="">
    <AnswerWithChanges buildId={buildId} answer={answer} />
    {isTriedBy(proposal, answer) ? null : <WorthTrying buildId={buildId} answer={answer} />}
  </div>
);

/** What is proposed says of what is worth trying too, where it is as hard. */
const isTriedBy = (proposal: ProposalTold | NoProposal, { worthTrying }: BuildAnswer): boolean =>
  worthTrying !== null &&
  !("missing" in proposal) &&
  proposal.clockMhz >= worthTrying.clockMhz &&
  proposal.voltageMv <= worthTrying.voltageMv;
