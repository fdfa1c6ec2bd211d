import { provenFromS } from "../frontier/provenRuns.ts";
import type { TooLittle } from "../limit/limitFit.ts";
import { type OffsetAnswer, offsetAnswerOf } from "./offsetAnswer.ts";
import { type OffsetSearch, type PartScales, partScalesOf } from "./offsetSearch.ts";
import { scaleOfOffset } from "./scale.ts";
import { type LevelProposal, type LevelSettled, nextOnScale } from "./scaleNext.ts";
import { levelInWords } from "./scaleWords.ts";

/** What to set for one attempt: the offset of the part under test, or the whole list for all. */
export type OffsetProposal = Omit<LevelProposal, "level" | "chanceOfPass" | "expectedMinutes"> &
  Readonly<{
    part: string | null;
    offset: number | null;
    offsets: Readonly<Record<string, number>> | null;
    /** Null where no part's fit speaks of it: what parts do together is not foretold from what they do alone. */
    chanceOfPass: number | null;
    expectedMinutes: number;
  }>;

type OffsetSettled = Readonly<{
  settled: Pick<OffsetAnswer, "offset" | "offsets" | "provedTogether">;
  because: string;
  nearer: LevelSettled["nearer"];
  blocked: readonly string[];
}>;

export type OffsetNext = OffsetProposal | OffsetSettled | TooLittle;

/** One part after the other, the first that is not known yet; then all together at the list; then nothing. */
export function offsetNextOf(search: OffsetSearch): OffsetNext {
  const scales = partScalesOf(search);
  if (scales === null) return notByOffset;
  if (search.begin) return offsetBeginning(search.chip, search.begin);
  const asked = search.part ?? null;
  const wanted = asked === null ? scales.parts : scales.parts.filter((part) => part === asked);
  const settled: LevelSettled[] = [];
  for (const part of wanted) {
    const next = nextOnScale(scales.questionOf(part));
    if ("state" in next) return next;
    if (!("settled" in next)) return proposalOn(part, next);
    settled.push(next);
  }
  return asked === null ? afterParts(search, scales, settled) : settledAlone(settled);
}

const notByOffset: TooLittle = {
  state: "too-little",
  because: "The chip is set by clock and voltage, not by an offset.",
  needs: "Ask for clocks, or enter what its offset is.",
};

/** Before anything ran: the chip as it comes, all its parts, or as near to it as can be set. */
export function offsetBeginning(
  { offset }: Pick<OffsetSearch["chip"], "offset">,
  { workloadId, durationS }: NonNullable<OffsetSearch["begin"]>,
): OffsetProposal {
  const { low, high } = { low: null, high: null, ...offset };
  return {
    part: null,
    offset: Math.min(Math.max(0, low ?? 0), high ?? Number.POSITIVE_INFINITY),
    offsets: null,
    workloadId,
    durationS,
    purpose: "screen",
    chanceOfPass: null,
    expectedMinutes: durationS / 60,
    expectedTempC: null,
    because: "Nothing was tried on this build yet, so begin with the chip as it comes.",
    blocked: [],
    taughtBy: [],
  };
}

const proposalOn = (part: string | null, { level, ...rest }: LevelProposal): OffsetProposal => ({
  ...rest,
  part,
  offset: part === null ? level : null,
  offsets: part === null ? null : { [part]: level },
});

function settledAlone([only]: readonly LevelSettled[]): OffsetNext {
  if (only === undefined)
    return {
      state: "too-little",
      because: "The chip has no part of that name.",
      needs: "Name one of its parts.",
    };
  const { settled, because, nearer, blocked } = only;
  return {
    settled: { offset: settled.level, offsets: null, provedTogether: null },
    because,
    nearer,
    blocked,
  };
}

/** Each part is known: what is left is whether they hold together. */
function afterParts(search: OffsetSearch, scales: PartScales, settled: readonly LevelSettled[]): OffsetNext {
  const answer = offsetAnswerOf(search);
  const [first] = settled;
  if (first === undefined || !("parts" in answer)) return notByOffset;
  const blocked = [...new Set(settled.flatMap((one) => one.blocked))];
  const { offset, offsets, provedTogether } = answer;
  if (offsets !== null && provedTogether === false) return togetherProposal(search, offsets);
  const because =
    scales.parts[0] === null ? first.because : `Each part is known near enough. ${answer.because[0] ?? ""}`;
  const widest = settled.reduce<LevelSettled["nearer"]>(
    (most, { nearer }) => ((nearer?.gain ?? 0) > (most?.gain ?? 0) ? nearer : most),
    null,
  );
  return { settled: { offset, offsets, provedTogether }, because, nearer: widest, blocked };
}

function togetherProposal(search: OffsetSearch, offsets: Readonly<Record<string, number>>): OffsetProposal {
  const longestAsked = Math.max(provenFromS, ...search.requires.map(({ durationS }) => durationS));
  const { chip } = search;
  const scale = chip.offset === null ? null : scaleOfOffset({ ...chip, offset: chip.offset });
  const list = Object.entries(offsets)
    .map(
      ([part, level]) =>
        `${part} ${scale === null ? level : levelInWords({ ...scale, name: "" }, level).trim()}`,
    )
    .join(", ");
  return {
    part: null,
    offset: null,
    offsets,
    workloadId: search.workloadId ?? search.rows.at(-1)?.workloadId ?? null,
    durationS: longestAsked,
    purpose: "prove",
    chanceOfPass: null,
    expectedMinutes: longestAsked / 60,
    expectedTempC: null,
    because: `Each part was found by itself; whether they hold together only a run of all says: ${list}.`,
    blocked: [],
    taughtBy: [],
  };
}
