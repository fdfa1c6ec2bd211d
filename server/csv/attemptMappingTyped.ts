import { workloadKinds } from "../bench/things/workload.ts";
import { isMeaning, type Meaning } from "./attemptColumns.ts";
import type { AttemptFile } from "./attemptFile.ts";
import { type AttemptMapping, isOutcome, outcomeWordsOf, wordKey, wordsIn } from "./attemptMapping.ts";

/** The choices of a form, each a string as it was typed. */
export type ChoicesTyped = Readonly<Record<string, string | undefined>>;

export const meaningWritten = (meaning: Meaning): string =>
  meaning === null ? "" : `${meaning.field} ${meaning.unit}`.trim();

function meaningTyped(typed: string | undefined): Meaning {
  const [field = "", unit = ""] = (typed ?? "").split(" ");
  return isMeaning(field, unit) ? { field, unit } : null;
}

/** The choices of the form laid over what the file says of itself; a field that was not there stays as it was. */
export function mappingTyped(typed: ChoicesTyped, file: AttemptFile, usual: AttemptMapping): AttemptMapping {
  const meanings = usual.meanings.map((meaning, at) =>
    typed[`column-${at}`] === undefined ? meaning : meaningTyped(typed[`column-${at}`]),
  );
  const mapping = {
    ...usual,
    meanings,
    zone: typed.zone?.trim() || usual.zone,
    dayFirst: typed.days === undefined ? usual.dayFirst : typed.days === "first",
    workloadId: typed.workloadId === undefined ? usual.workloadId : typed.workloadId || null,
  };
  return {
    ...mapping,
    outcomes: { ...usual.outcomes, ...outcomesTyped(typed, outcomeWordsOf(file, mapping)) },
    workloads: { ...usual.workloads, ...workloadsTyped(typed, wordsIn(file, mapping, "workload")) },
  };
}

/** A word's field is named by the word, so that it keeps its answer when columns are matched anew. */
export const outcomeField = (word: string): string => `outcome ${wordKey(word)}`;
export const workloadField = (word: string): string => `workload ${wordKey(word)}`;

const outcomesTyped = (typed: ChoicesTyped, words: readonly string[]) =>
  Object.fromEntries(
    words.flatMap((word) => {
      const outcome = typed[outcomeField(word)] ?? "";
      return isOutcome(outcome) ? [[wordKey(word), outcome]] : [];
    }),
  );

const workloadsTyped = (typed: ChoicesTyped, words: readonly string[]) =>
  Object.fromEntries(
    words.flatMap((word) => {
      const meant = typed[workloadField(word)] ?? "";
      const kind = meant.startsWith("new:") ? meant.slice(4) : null;
      const known = kind === null || (workloadKinds as readonly string[]).includes(kind);
      return meant !== "" && known ? [[wordKey(word), meant]] : [];
    }),
  );
