import type { AdviceQuestion } from "../../answers/benchAdvice.ts";
import { chanceInWords } from "../../bench/next/nextWords.ts";
import type { OffsetNext, OffsetProposal } from "../../bench/scale/offsetNext.ts";
import { LineWithMore } from "../../html/entry.tsx";
import { formatDuration } from "../../html/format.ts";
import { paths } from "../paths.ts";
import { pursuitOf } from "./advised.ts";
import { offsetDialsTyped } from "./dials.ts";
import { Late } from "./late.tsx";
import type { Trying } from "./shown.ts";

type Props = Readonly<{ trying: Trying; byOffset: OffsetNext; first: boolean }>;

const isProposal = (next: OffsetNext): next is OffsetProposal => "durationS" in next;

/** "core 3 −30", "all parts at the list": what is set for the attempt. */
function setWords({ part, offset, offsets }: OffsetProposal): string {
  if (part === null && offset === null) return "all parts at the list";
  const level = part === null ? offset : (offsets?.[part] ?? null);
  const sign = (level ?? 0) > 0 ? "+" : (level ?? 0) < 0 ? "−" : "";
  return `${part === null ? "offset" : part} ${sign}${Math.abs(level ?? 0)}`;
}

/** The offset to try next and of which part, with its reason; once each is known, whether they ran together. */
export const OffsetProposed = ({ trying, byOffset, first }: Props) => {
  const Heading = first ? "h1" : "h2";
  if (!isProposal(byOffset))
    return (
      <>
        <Heading>Known near enough</Heading>
        <p class="lead answer">{byOffset.because}</p>
      </>
    );
  const { durationS, chanceOfPass, because, blocked } = byOffset;
  const odds = chanceOfPass === null ? "" : `; it passes ${chanceInWords(chanceOfPass)}`;
  return (
    <>
      <Heading>Next: {setWords(byOffset)}</Heading>
      <LineWithMore
        line={
          <>
            For <b>{formatDuration(durationS)}</b>
            {odds}.
          </>
        }
        more="Why"
        keep="why"
      >
        <p>Set this in firmware, then arm. {because}</p>
        {blocked.map((caution) => (
          <p key={caution}>{caution}</p>
        ))}
      </LineWithMore>
      <Late trying={trying} />
    </>
  );
};

/** The same where the page came before the fit: taken with one tap. */
export const offsetPiece = (byOffset: OffsetNext, asked: AdviceQuestion) => {
  if (!isProposal(byOffset)) return <p class="late">{byOffset.because}</p>;
  const taken = paths.bench({ build: asked.buildId, ...pursuitOf(asked), ...offsetDialsTyped({ byOffset }) });
  return (
    <p class="late" data-said={`The whole record proposes ${setWords(byOffset)}.`}>
      Whole record: <a href={taken}>{`${setWords(byOffset)}, ${formatDuration(byOffset.durationS)}`}</a>
    </p>
  );
};
