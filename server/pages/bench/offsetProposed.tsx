import type { AdviceQuestion } from "../../answers/advice.ts";
import type { BuildAnswer } from "../../answers/answerOf.ts";
import type { OffsetNext, OffsetProposal } from "../../bench/scale/offsetNext.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { EntryHeading, LineWithMore } from "../../html/entry.tsx";
import { formatDuration } from "../../html/format.ts";
import { settingWords } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";
import { isDone, nextWords, pursuitOf } from "./advised.ts";
import { dialledLevel, LevelOnDials, LevelTime, levelProposed } from "./dialledLevel.tsx";
import { offsetDialsTyped } from "./dials.ts";
import { Late } from "./late.tsx";
import type { Trying } from "./shown.ts";
import { setFirst } from "./toSet.ts";

type Props = Readonly<{
  trying: Trying;
  byOffset: OffsetNext;
  chip: Chip;
  answer: BuildAnswer;
  first: boolean;
}>;

const isProposal = (next: OffsetNext): next is OffsetProposal => "durationS" in next;

const headingOver = (next: OffsetNext): string =>
  "settled" in next ? "Known near enough" : "Nothing left to propose";

/** Where nothing is proposed: that the search is over, else what would let it go on. */
function lineOver(next: OffsetNext, { parts }: Chip): string {
  if ("needs" in next) return next.needs;
  return parts.length > 0 ? "Each part is known." : "No further run is worth the bench time.";
}

/** The offset to try next and of which part, with its reason; once each is known, what may be tried besides. */
export const OffsetProposed = ({ trying, byOffset, chip, answer, first }: Props) => {
  const dialled = dialledLevel(trying.form.typed, chip, null, levelProposed(trying.advice));
  const isOver = !isProposal(byOffset) && !isDone(answer, trying.asked);
  return (
    <>
      <EntryHeading first={first}>
        {isOver || dialled === null ? (
          headingOver(byOffset)
        ) : (
          <>
            {nextWords(answer, trying)} <LevelOnDials dialled={dialled} />
          </>
        )}
      </EntryHeading>
      <LineWithMore
        line={dialled === null ? lineOver(byOffset, chip) : <LevelTime dialled={dialled} />}
        more="Why"
        keep="why"
      >
        <p>
          {isProposal(byOffset) ? `${setFirst(chip)} ` : ""}
          {byOffset.because}
        </p>
        {("blocked" in byOffset ? byOffset.blocked : []).map((caution) => (
          <p key={caution}>{caution}</p>
        ))}
      </LineWithMore>
      <Late trying={trying} />
    </>
  );
};

/** The same where the page came before the fit: taken with one tap. */
export const offsetPiece = (byOffset: OffsetNext, asked: AdviceQuestion, chip: Chip) => {
  if (!isProposal(byOffset)) return <p class="late">{byOffset.because}</p>;
  const { part, offset, offsets } = byOffset;
  const set = { clockMhz: null, voltageMv: null, part, offset, offsets };
  const words = part === null && offset === null ? "all parts at the list" : settingWords(set, chip);
  const taken = paths.bench({ build: asked.buildId, ...pursuitOf(asked), ...offsetDialsTyped({ byOffset }) });
  return (
    <p class="late" data-said={`The whole record proposes ${words}.`}>
      Better: <a href={taken}>{`${words}, ${formatDuration(byOffset.durationS)}`}</a>
    </p>
  );
};
