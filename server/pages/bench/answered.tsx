import type { BuildAnswer } from "../../answers/answerOf.ts";
import { nearerInWords } from "../../bench/best/answerWords.ts";
import { chanceInWords } from "../../bench/next/nextWords.ts";
import type { Build } from "../../bench/things/build.ts";
import { Act } from "../../html/act.tsx";
import { formatDuration } from "../../html/format.ts";
import {
  AnswerLead,
  AnswerLine,
  answerMarks,
  HighestSeen,
  NoteLink,
  WhyChanged,
  WorthTrying,
} from "../kit/answerTold.tsx";
import { Setting } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";
import type { Trying } from "./shown.ts";

/** The search for the highest clock is over: the page then says what to run, and what may still be done second. */
export const isDone = (answer: BuildAnswer, { asked }: Trying): boolean =>
  answer.state === "done" && answer.setting !== null && asked.aim === "clock" && asked.again === null;

type Props = Readonly<{ build: Build; answer: BuildAnswer; trying: Trying; first: boolean }>;

/** Done: what to run stands above everything else. */
export const AnswerAbove = ({ build, answer, trying, first }: Props) => {
  if (!isDone(answer, trying) || answer.setting === null) return null;
  const Heading = first ? "h1" : "h2";
  return (
    <div class="done" {...answerMarks({ buildId: build.id, answer })}>
      <Heading>
        Run <Setting {...answer.setting} />
      </Heading>
      <AnswerLead answer={answer} hottestAmbientC={build.hottestAmbientC} />
      <HighestSeen answer={answer} />
      <Act>
        <NoteLink buildId={build.id} answer={answer} />
      </Act>
      <WhatIsLeft build={build} answer={answer} trying={trying} />
      <WhyChanged answer={answer} />
    </div>
  );
};

/** While it is looked for: one line under what to try. */
export const AnswerSoFar = ({ buildId, answer }: Readonly<{ buildId: string; answer: BuildAnswer }>) => (
  <div id="answer-so-far">
    <p class="answer">
      <AnswerLine buildId={buildId} answer={answer} />
    </p>
    <WorthTrying buildId={buildId} answer={answer} />
    <WhyChanged answer={answer} />
  </div>
);

/** More, for whoever likes: nearer, a night left running, another mount. */
const WhatIsLeft = ({ build, answer, trying }: Omit<Props, "first">) => {
  const { leaveRunning } = trying.advice;
  return (
    <ul class="rows">
      {leaveRunning === null ? null : (
        <li>
          <a
            href={paths.bench({
              build: build.id,
              clockMhz: leaveRunning.clockMhz,
              voltageMv: leaveRunning.voltageMv,
              minutes: leaveRunning.durationS / 60,
            })}
          >
            Leave it running: <Setting {...leaveRunning} />
          </a>
          , {formatDuration(leaveRunning.durationS)}, passes {chanceInWords(leaveRunning.chanceOfPass)}. Only
          where it may run unwatched.
        </li>
      )}
      {answer.nearer === null ? null : (
        <li>
          <a href={paths.bench({ build: build.id, aim: "map" })}>Other voltages</a>; or nearer here:{" "}
          {nearerInWords(answer.nearer)}.
        </li>
      )}
      <li>
        <a href={paths.mounts(build.id)}>A second mount</a> says how far mounts scatter.
      </li>
    </ul>
  );
};
