import type { Chip } from "../bench/things/chip.ts";
import { type Outcome, outcomes } from "../bench/things/outcome.ts";
import { invalid } from "../bench/things/refusal.ts";
import { attemptColumn, isMeaning, type Meaning } from "./attemptColumns.ts";
import { type AttemptFile, cellsIn } from "./attemptFile.ts";
import { dayOrderIn, meaningsProposed } from "./attemptProposal.ts";
import { isZone } from "./momentCell.ts";
import { outcomeSpelled } from "./outcomeSpelled.ts";

/** How the columns and words of one kind of file are to be understood; remembered by its header. */
export type AttemptMapping = Readonly<{
  meanings: readonly Meaning[];
  /** Words for outcomes that could mean several, settled by the tester. */
  outcomes: Readonly<Record<string, Outcome>>;
  /** Names of workloads the journal does not know, and which of its own is meant; `new:KIND` makes one. */
  workloads: Readonly<Record<string, string>>;
  /** For lines that name no workload. */
  workloadId: string | null;
  zone: string;
  dayFirst: boolean;
}>;

export const wordKey = (word: string): string => word.trim().toLowerCase();

/** What the file says of itself. The order of day and month is the European one where no date tells. */
export const mappingProposed = (file: AttemptFile, zone: string): AttemptMapping => {
  const meanings = meaningsProposed(file.shape.columns);
  return {
    meanings,
    outcomes: {},
    workloads: {},
    workloadId: null,
    zone,
    dayFirst: dayOrderIn(meanings, (at) => cellsIn(file, at)) ?? true,
  };
};

/** What was remembered for this header, where it still fits; else what the file says of itself. */
export function mappingRemembered(kept: unknown, file: AttemptFile, zone: string): AttemptMapping {
  const proposed = mappingProposed(file, zone);
  const mapping = kept as AttemptMapping | undefined;
  if (!Array.isArray(mapping?.meanings) || mapping.meanings.length !== proposed.meanings.length)
    return proposed;
  if (!mapping.meanings.every((meaning) => meaning === null || isMeaning(meaning.field, meaning.unit)))
    return proposed;
  return { ...proposed, ...mapping };
}

/** Throws with a word beside each choice that is still to be made. */
export function assertMapping(mapping: AttemptMapping, file: AttemptFile, chip?: SetBy): void {
  const refused: Record<string, string> = {};
  const places = new Map<string, number>();
  for (const [at, meaning] of mapping.meanings.entries()) {
    if (meaning === null) continue;
    const title = attemptColumn(meaning.field)?.title ?? meaning.field;
    if (places.has(meaning.field)) refused[`column-${at}`] = `Two columns are said to be "${title}".`;
    if (meaning.unit === "?")
      refused[`column-${at}`] = `Say whether "${file.shape.names[at]}" counts seconds, minutes or hours.`;
    places.set(meaning.field, at);
  }
  for (const [field, title] of neededOf(chip))
    if (!field.split(" ").some((one) => places.has(one)))
      refused[field] = `Say which column is the ${title}.`;
  if (!isZone(mapping.zone)) refused.zone = "Write a zone like Europe/Paris, or UTC.";
  const [first] = Object.values(refused);
  if (first !== undefined) throw invalid(first, refused);
}

type SetBy = Pick<Chip, "axis" | "automaticVoltage">;

/** What a file cannot do without; of several in one any will do. */
const neededOf = (chip: SetBy | undefined): readonly (readonly [string, string])[] => [
  ...(chip?.axis === "offset"
    ? [["offset offsets", "offset"] as const]
    : [
        ["clockMhz", "clock"] as const,
        ...(chip?.automaticVoltage === true ? [] : [["voltageMv", "voltage"] as const]),
      ]),
  ["outcome", "outcome"],
];

/** The outcome a word of this file stands for; undefined where the tester is still to say. */
export const outcomeMeant = (word: string, mapping: AttemptMapping): Outcome | undefined =>
  outcomeSpelled(word) ?? settledFor(mapping.outcomes, word);

/** What the tester settled for a word; the word may be one that every object answers to. */
export const settledFor = <Meant>(
  settled: Readonly<Record<string, Meant>>,
  word: string,
): Meant | undefined => (Object.hasOwn(settled, wordKey(word)) ? settled[wordKey(word)] : undefined);

/** Words for outcomes that have to be settled or were, in the order in which they first occur. */
export const outcomeWordsOf = (file: AttemptFile, mapping: AttemptMapping): string[] =>
  wordsIn(file, mapping, "outcome").filter((word) => outcomeSpelled(word) === undefined);

/** So many are shown to be settled. */
const mostWords = 100;

/** The different words of the column that means `field`. */
export function wordsIn(file: AttemptFile, mapping: AttemptMapping, field: string): string[] {
  const at = mapping.meanings.findIndex((meaning) => meaning?.field === field);
  const words = new Map<string, string>();
  for (const cell of at < 0 ? [] : cellsIn(file, at)) {
    if (!words.has(wordKey(cell))) words.set(wordKey(cell), cell.trim());
    if (words.size >= mostWords) break;
  }
  return [...words.values()];
}

export const isOutcome = (value: string): value is Outcome => (outcomes as readonly string[]).includes(value);
