import type { BuildAnswer } from "../../answers/answerOf.ts";
import { outcomeClass } from "../../bench/things/outcome.ts";
import { Act, ButtonLink } from "../../html/act.tsx";
import { Entry } from "../../html/entry.tsx";
import { SettingInWords } from "../kit/settingWords.tsx";
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
          <b>Ended by heat:</b> <RunNow answer={answer} />
        </p>
      </Entry>
    );
  if (contested === null) return null;
  const times =
    contested.passes === 1 ? "once" : contested.passes === 2 ? "twice" : `${contested.passes} times`;
  return (
    <Entry>
      <p class="lead contested">
        <b>Contested.</b> That or harder passed {times}.{" "}
        <span class="until">
          Until it is settled, <RunNow answer={answer} />
        </span>
      </p>
      {first ? (
        <Act>
          <SameAgain notice={notice} first />
        </Act>
      ) : null}
    </Entry>
  );
};

/** One more run of what was contested; nothing where it was repeated already. */
export const SameAgain = ({ notice, first = false }: Pick<Props, "notice"> & { first?: boolean }) =>
  notice.contested === null || notice.contested.wasRepeated ? null : (
    <ButtonLink
      letter="t"
      first={first}
      href={paths.bench({ build: notice.kept.buildId, again: notice.kept.id, kept: notice.kept.id })}
    >
      Same again, once: was it the clock?
    </ButtonLink>
  );

/** A piece of its own: it takes the place of the one that stands once the whole record was weighed. */
export const RunNow = ({ answer: { setting } }: Readonly<{ answer: BuildAnswer }>) => (
  <span id="run-now" data-only="">
    {setting === null ? (
      "no other setting that ran ten minutes is uncontested."
    ) : (
      <>
        run{" "}
        <b>
          <SettingInWords {...setting} />
        </b>
        .
      </>
    )}
  </span>
);

const hasMoved = ({ kept }: Props["notice"], { changedBecause }: BuildAnswer): boolean =>
  changedBecause.some(({ attemptId }) => attemptId === kept.id);
