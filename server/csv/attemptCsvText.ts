import type { Attempt } from "../bench/things/attempt.ts";
import { type AttemptFieldName, attemptFieldNames, fieldDescription } from "../bench/things/attemptFields.ts";
import type { Chip } from "../bench/things/chip.ts";
import { columnName } from "./attemptColumns.ts";
import { csvLine, guarded } from "./csvLine.ts";
import { notReadNote } from "./notReadNote.ts";

type Named = Readonly<{ workload: string; build: string }>;
type Written = string | number | boolean | null;
type Column = readonly [name: string, of: (attempt: Attempt, named: Named) => Written];

/** The columns of the export, each named as the interface names the field. */
const columns: readonly Column[] = [
  ["id", ({ id }) => id],
  ["build", (_, { build }) => guarded(build)],
  ...attemptFieldNames.map((name): Column => [columnName(name), writes(name)]),
  ["setAsideReason", ({ setAside }) => text(setAside?.reason ?? null)],
];

function writes(name: AttemptFieldName): Column[1] {
  switch (fieldDescription[name].kind) {
    case "workload":
      return (_, { workload }) => guarded(workload);
    case "text":
    case "note":
      return (attempt) => text(attempt[name] as string | null);
    case "tags":
      return ({ tags }) => tagsWritten(tags);
    case "alsoSet":
    case "errors":
      return (attempt) => listWritten(attempt[name] as readonly unknown[]);
    case "byPart":
    case "temperatures":
    case "counts":
    case "knobs":
    case "starts":
      return (attempt) => (attempt[name] === null ? null : JSON.stringify(attempt[name]));
    case "confirmation":
      return (attempt) => (attempt[name] === true ? true : null);
    default:
      return (attempt) => attempt[name] as Written;
  }
}

const text = (words: string | null): string | null =>
  words === null || words === "" ? null : guarded(words);

const listWritten = (list: readonly unknown[]): string | null =>
  list.length === 0 ? null : JSON.stringify(list);

/** Tags stand side by side with a semicolon; as a JSON list where one holds a sign that would part it. */
function tagsWritten(tags: readonly string[]): string | null {
  if (tags.length === 0) return null;
  const awkward = tags.some((tag) => /[;,]/.test(tag)) || (tags[0] ?? "").startsWith("[");
  return awkward ? JSON.stringify(tags) : guarded(tags.join("; "));
}

/** What of a chip says in which units its attempts are written. */
type Units = Pick<Chip, "clockUnit" | "offset">;

/** What is handed over with an account leaves out: the tester's own words, and what tells one start of a machine from another. */
export const notHandedOver: ReadonlySet<string> = new Set<AttemptFieldName>(["note", "tags", "bootId"]);

const columnsBut = (without: ReadonlySet<string>): readonly Column[] =>
  without.size === 0 ? columns : columns.filter(([name]) => !without.has(name));

const none: ReadonlySet<string> = new Set();

/** Named as the fields are, with the unit in brackets wherever the name does not end in it. */
export const attemptCsvHeader = (chip?: Units, without = none): string =>
  csvLine(
    columnsBut(without).map(([name]) => {
      const unit = unitOf(name, chip);
      return unit === null ? name : `${name} [${unit}]`;
    }),
  );

function unitOf(name: string, chip: Units | undefined): string | null {
  if (name === "temps") return "°C";
  if (name === "offset" || name === "offsets") return chip?.offset?.unit ?? null;
  const isRate = name === "clockMhz" || name === "effectiveClockMhz";
  return isRate && chip !== undefined && chip.clockUnit !== "MHz" ? chip.clockUnit : null;
}

/** Attempts as the lines of a CSV file below its header. */
export function* attemptCsvLines(
  attempts: Iterable<Attempt>,
  named: (attempt: Attempt) => Named,
  without = none,
): Generator<string> {
  const kept = columnsBut(without);
  for (const attempt of attempts) {
    const names = named(attempt);
    yield csvLine(kept.map(([, of]) => String(of(attempt, names) ?? "")));
  }
}

/** A last line that holds no attempt: what could not be read of the journal, under the notes. */
export const notReadLine = (words: string): string =>
  csvLine(columns.map(([name]) => (name === columnName("note") ? notReadNote(words) : "")));
