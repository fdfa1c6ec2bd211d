import type { Attempt } from "../bench/things/attempt.ts";
import { guarded } from "./attemptCell.ts";

type Named = Readonly<{ workload: string; build: string }>;
type Written = string | number | boolean | null;

/** The columns of the export, each named as the interface names the field, its unit with it. */
const columns: readonly (readonly [name: string, of: (attempt: Attempt, named: Named) => Written])[] = [
  ["id", ({ id }) => id],
  ["build", (_, { build }) => guarded(build)],
  ["startedAt", ({ startedAt }) => startedAt],
  ["workload", (_, { workload }) => guarded(workload)],
  ["clockMhz", ({ clockMhz }) => clockMhz],
  ["voltageMv", ({ voltageMv }) => voltageMv],
  ["outcome", ({ outcome }) => outcome],
  ["durationS", ({ durationS }) => durationS],
  ["plannedS", ({ plannedS }) => plannedS],
  ["failedFromS", ({ failedFromS }) => failedFromS],
  ["failedToS", ({ failedToS }) => failedToS],
  ["ambientC", ({ ambientC }) => ambientC],
  ["loadTempC", ({ loadTempC }) => loadTempC],
  ["peakTempC", ({ peakTempC }) => peakTempC],
  ["startTempC", ({ startTempC }) => startTempC],
  ["supplyTempC", ({ supplyTempC }) => supplyTempC],
  ["loadVoltageMv", ({ loadVoltageMv }) => loadVoltageMv],
  ["voltageReadAt", ({ voltageReadAt }) => voltageReadAt],
  ["loadLine", ({ loadLine }) => text(loadLine)],
  ["currentA", ({ currentA }) => currentA],
  ["powerW", ({ powerW }) => powerW],
  ["powerAt", ({ powerAt }) => powerAt],
  ["fanRpm", ({ fanRpm }) => fanRpm],
  ["fanMode", ({ fanMode }) => text(fanMode)],
  ["effectiveClockMhz", ({ effectiveClockMhz }) => effectiveClockMhz],
  ["throttled", ({ throttled }) => throttled],
  ["correctedErrors", ({ correctedErrors }) => correctedErrors],
  ["startKind", ({ startKind }) => startKind],
  ["clockMode", ({ clockMode }) => clockMode],
  ["alsoSet", ({ alsoSet }) => (alsoSet.length === 0 ? null : JSON.stringify(alsoSet))],
  ["score", ({ score }) => score],
  ["tags", ({ tags }) => tagsWritten(tags)],
  ["note", ({ note }) => text(note)],
  ["aboveCeiling", ({ aboveCeiling }) => (aboveCeiling ? true : null)],
  ["setAsideReason", ({ setAside }) => text(setAside?.reason ?? null)],
];

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
