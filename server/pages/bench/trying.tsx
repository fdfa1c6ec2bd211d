import type { BuildAnswer } from "../../answers/answerOf.ts";
import { Act, ButtonLink } from "../../html/act.tsx";
import { Note } from "../../html/note.tsx";
import { paths } from "../paths.ts";
import { isDone } from "./advised.ts";
import { AnswerAbove, AnswerSoFar, LeftBelow } from "./answered.tsx";
import type { Left } from "./leftShown.ts";
import { OtherwiseForms } from "./otherwise.tsx";
import { Proposed } from "./proposed.tsx";
import type { Trying } from "./shown.ts";
import { TryForm, type TryFormProps } from "./tryForm.tsx";

type Props = TryFormProps & Readonly<{ first: boolean; answer: BuildAnswer; left: Left }>;

/** What to try now: the proposal with its reason, its heat, the dials, and the button that arms. */
export const TryingBody = (props: Props) => {
  const { trying, shown, workloads, first, kept, answer, left } = props;
  const { build, chip } = shown;
  const done = isDone(answer, trying.asked);
  return (
    <>
      <AnswerAbove build={build} answer={answer} trying={trying} first={first} />
      <Proposed trying={trying} chip={chip} answer={answer} workloads={workloads} first={first && !done} />
      {done || kept?.contested ? null : (
        <AnswerSoFar buildId={build.id} answer={answer} proposal={trying.advice.proposal} />
      )}
      {workloads.length === 0 ? (
        <Act>
          <ButtonLink first href={paths.newPart("workloads")}>
            Write down a load
          </ButtonLink>
        </Act>
      ) : (
        <TryForm {...props} />
      )}
      <LeftBelow build={build} answer={answer} trying={trying} left={left} />
      {trying.asked.aim === "voltage" && !workloads.some(({ kind }) => kind === "transition") ? (
        <NoSwitchingLoad isSaid={isSwitchingAsked(trying)} />
      ) : null}
      <OtherwiseForms trying={trying} />
    </>
  );
};

/** Said where a low voltage is looked for, since a steady load proves it too little. */
const NoSwitchingLoad = ({ isSaid }: { isSaid: boolean }) => (
  <Note kind="plain">
    {isSaid
      ? ""
      : "Low voltages fail first where the load switches on and off, and no such load is written down. "}
    <a href={paths.newPart("workloads")}>Write down a load that switches</a>, of the kind “transition”.
  </Note>
);

const isSwitchingAsked = ({ advice: { proposal } }: Trying): boolean =>
  proposal.because.includes("no such load is written down");
