import type { Attempt } from "../bench/things/attempt.ts";
import { type AttemptFieldName, attemptFieldNames, fieldDescription } from "../bench/things/attemptFields.ts";
import { guarded } from "./attemptCell.ts";
import { columnName } from "./attemptColumns.ts";

type Named = Readonly<{ workload: string; build: string }>;
type Written = string | number | boolean | null;
type Column = readonly [name: string, of: (attempt: Attempt, named: Named) => Written];

/** The columns of the export, each named as the interface names the field, its unit with it. */
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
      return ({ alsoSet }) => (alsoSet.length === 0 ? null : JSON.stringify(alsoSet));
    case "confirmation":
      return (attempt) => (attempt[name] === true ? true : null);
    default:
      return (attempt) => attempt[name] as Written;
  }
}

const text = (words: string | null): string | null =>
  words === null || words === "" ? null : guarded(words);

/** Tags stand side by side with a semicolon; as a JSON list where one holds a sign that would part it. */
function tagsWritten(tags: readonly string[]): string | null {
  if (tags.length === 0) return null;
  const awkward = tags.some((tag) => /[;,]/.test(tag)) || (tags[0] ?? "").startsWith("[");
  return awkward ? JSON.stringify(tags) : guarded(tags.join("; "));
}

/** Attempts as RFC 4180 lines: a header, commas, CRLF, quotes where they are needed. */
export function* attemptCsvText(
  attempts: Iterable<Attempt>,
  named: (attempt: Attempt) => Named,
): Generator<string> {
  yield `${columns.map(([name]) => name).join(",")}\r\n`;
  for (const attempt of attempts) {
    const names = named(attempt);
    yield `${columns.map(([, of]) => cellOf(of(attempt, names))).join(",")}\r\n`;
  }
}

/** Blanks at the ends of a cell would be taken for padding, so they stand in quotes too. */
function cellOf(value: Written): string {
  const words = value === null ? "" : String(value);
  return /[",\r\n]|^\s|\s$/.test(words) ? `"${words.replaceAll('"', '""')}"` : words;
}
