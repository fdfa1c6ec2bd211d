import type { BuildAnswer } from "../../answers/answerOf.ts";
import { outcomeClass } from "../../bench/things/outcome.ts";
import { Act, ButtonLink } from "../../html/act.tsx";
import { Entry } from "../../html/entry.tsx";
import { Setting } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";
import type { Notice } from "./shown.ts";

type Props = Readonly<{
  notice: Extract<Notice, { kept: unknown }>;
  answer: BuildAnswer;
  first: boolean;
}>;

/** What an ending now means for the answer, where it speaks against it or against what had passed. */
export const MeaningEntry = ({ notice, answer, first }: Props) => {
  const { kept, contested } = notice;
  if (outcomeClass(kept.outcome) === "thermal" && hasMoved(notice, answer))
    return (
      <Entry>
        <p class="lead">
          <b>Ended by heat.</b> <RunNow answer={answer} />
        </p>
      </Entry>
    );
  if (contested === null) return null;
  const times =
    contested.passes === 1 ? "once" : contested.passes === 2 ? "twice" : `${contested.passes} times`;
  return (
    <Entry>
      <p class="lead">
        <b>Contested.</b> That or harder passed {times}. Until it is settled, <RunNow answer={answer} />
      </p>
      {contested.wasRepeated ? null : (
        <Act>
          <ButtonLink
            letter="t"
            first={first}
            href={paths.bench({ build: kept.buildId, again: kept.id, kept: kept.id })}
          >
            Same again, once: was it the clock?
          </ButtonLink>
        </Act>
      )}
    </Entry>
  );
};

const RunNow = ({ answer: { setting } }: { answer: BuildAnswer }) =>
  setting === null ? (
    <>no other setting on record has run long enough.</>
  ) : (
    <>
      run{" "}
      <b>
        <Setting {...setting} />
      </b>
      .
    </>
  );

const hasMoved = ({ kept }: Props["notice"], { changedBecause }: BuildAnswer): boolean =>
  changedBecause.some(({ attemptId }) => attemptId === kept.id);
