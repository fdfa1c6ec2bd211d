import type { TogetherTrial } from "../frontier/offsetTrials.ts";
import { provenFromS } from "../frontier/provenRuns.ts";
import type { TooLittle } from "../limit/limitFit.ts";
import { hardnessOf } from "../order/partsOfRun.ts";
import { type OffsetSearch, type PartScales, partScalesOf } from "./offsetSearch.ts";
import { atThousandth } from "./scale.ts";
import { type ScaleAnswer, scaleAnswerOf } from "./scaleAnswer.ts";

/** The offset to set for one part. Null for a chip that is set as a whole. */
export type PartAnswer = ScaleAnswer & Readonly<{ part: string | null }>;

/** What to set on a chip by offset: each part found one at a time, and whether the list ran together. */
export type OffsetAnswer = Readonly<{
  state: ScaleAnswer["state"];
  unit: string;
  parts: readonly PartAnswer[];
  /** The list to enter; null where a part has no answer yet, and for a chip that is set as a whole. */
  offsets: Readonly<Record<string, number>> | null;
  /** The same for a chip that is set as a whole. */
  offset: number | null;
  /** Null for a chip that is set as a whole: then there is nothing to prove together. */
  provedTogether: boolean | null;
  because: readonly string[];
}>;

export function offsetAnswerOf(search: OffsetSearch): OffsetAnswer | TooLittle {
  const scales = partScalesOf(search);
  if (scales === null) return notByOffset;
  const parts = scales.parts.map((part) => ({ part, ...scaleAnswerOf(scales.questionOf(part)) }));
  const alone = listOf(parts);
  const list = alone && clearOfFailures(alone, scales);
  const isWhole = scales.parts[0] === null;
  const together = isWhole ? null : list !== null && ranTogether(list, scales);
  return {
    state: stateOf(parts, together),
    unit: search.chip.offset?.unit ?? "",
    parts,
    offsets: isWhole ? null : list,
    offset: isWhole ? (parts[0]?.setting?.level ?? null) : null,
    provedTogether: together,
    because: becauseOf(parts, list, together, list !== alone),
  };
}

const notByOffset: TooLittle = {
  state: "too-little",
  because: "The chip is set by clock and voltage, not by an offset.",
  needs: "Ask for clocks, or enter what its offset is.",
};

function listOf(parts: readonly PartAnswer[]): Readonly<Record<string, number>> | null {
  const named = parts.flatMap(({ part, setting }) =>
    part === null || setting === null ? [] : [[part, setting.level] as const],
  );
  return named.length === parts.length && named.length > 0 ? Object.fromEntries(named) : null;
}

/** Whether all ran for ten minutes at the list or harder, and nothing at the list or easier failed under all. */
function ranTogether(
  list: Readonly<Record<string, number>>,
  { parts, together, harder }: Pick<PartScales, "parts" | "together" | "harder">,
): boolean {
  const wanted = parts.map((part) => hardnessOf(list[part ?? ""] ?? 0, harder));
  const failures = standingTogether(together);
  return (
    !isAgainst(failures, wanted) &&
    together.some(
      ({ class: kind, row, hardness }) =>
        kind === "pass" &&
        row.durationS >= provenFromS &&
        isAsHardAs(hardness, wanted) &&
        !isAgainst(failures, hardness),
    )
  );
}

/** The failures of all that no later pass, as hard and longer, speaks against. */
const standingTogether = (together: readonly TogetherTrial[]): readonly TogetherTrial[] =>
  together.filter(
    (crash) =>
      crash.class === "crash" &&
      !together.some(
        ({ class: kind, row, hardness }) =>
          kind === "pass" &&
          row.startedAt > crash.row.startedAt &&
          row.durationS > crash.row.durationS &&
          isAsHardAs(hardness, crash.hardness),
      ),
  );

const isAgainst = (failures: readonly TogetherTrial[], hardness: readonly number[]): boolean =>
  failures.some((crash) => isAsHardAs(hardness, crash.hardness));

/**
 * Where all failed together at a list or an easier one, nobody knows which part it was: every part goes back, by as many
 * steps as leave no such failure.
 */
function clearOfFailures(
  list: Readonly<Record<string, number>>,
  { parts, together, harder, step }: PartScales,
): Readonly<Record<string, number>> {
  const own = parts.map((part) => hardnessOf(list[part ?? ""] ?? 0, harder));
  const stepsClearOf = (crash: TogetherTrial): number =>
    1 + Math.min(...own.map((hardness, i) => wholeSteps(hardness - (crash.hardness[i] as number), step)));
  const back = Math.max(0, ...standingTogether(together).map(stepsClearOf));
  if (back === 0) return list;
  const eased = harder === "up" ? -back * step : back * step;
  return Object.fromEntries(Object.entries(list).map(([part, level]) => [part, atThousandth(level + eased)]));
}

const wholeSteps = (distance: number, step: number): number => Math.floor(atThousandth(distance / step));

const isAsHardAs = (run: readonly number[], than: readonly number[]): boolean =>
  run.every((own, i) => own >= (than[i] as number));

/** Done only once the list ran together; near enough where each part is. */
function stateOf(parts: readonly PartAnswer[], together: boolean | null): OffsetAnswer["state"] {
  const states = parts.map(({ state }) => state);
  if (states.every((state) => state === "too-little")) return "too-little";
  if (states.some((state) => state === "looking" || state === "too-little")) return "looking";
  return together !== false && states.every((state) => state === "done") ? "done" : "enough";
}

function becauseOf(
  parts: readonly PartAnswer[],
  list: OffsetAnswer["offsets"],
  together: boolean | null,
  wentBack: boolean,
): readonly string[] {
  const open = parts.flatMap(({ part, setting }) => (setting === null ? [part ?? "the chip"] : []));
  if (open.length > 0)
    return [
      `Nothing that ran is likely enough to hold yet ${open[0] === "the chip" ? "here" : `for ${open.join(", ")}`}.`,
    ];
  if (list === null || together === null) return [];
  return [
    ...(wentBack ? ["All together failed at what each part held by itself, so every part went back."] : []),
    together
      ? "The list ran together as well, ten minutes or longer."
      : "Found one at a time, not proved together: run all parts at this list once.",
  ];
}
