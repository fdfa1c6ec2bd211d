import type { Attempt } from "../bench/things/attempt.ts";
import type { Build } from "../bench/things/build.ts";
import type { Chip } from "../bench/things/chip.ts";
import { attemptCsvHeader, attemptCsvLines, notHandedOver, notReadLine } from "../csv/attemptCsvText.ts";
import type { Journal } from "../store/file/journal.ts";
import type { Rescued } from "./wholeJournal.ts";

/**
 * The attempts of a build as CSV, the oldest first. Where damage is met on the way it goes on with what `rescue` could
 * read, and a last line says what could not be; `rescue` throws whatever is no damage.
 */
export async function* attemptsCsvDespite(
  journal: Journal,
  build: Build,
  rescue: (error: unknown) => Promise<Rescued>,
): AsyncGenerator<string> {
  const sent = new Set<string>();
  yield attemptCsvHeader(chipOf(journal, build));
  try {
    yield* linesOf(journal, build, sent);
  } catch (error) {
    const rescued = await rescue(error);
    yield* linesOf(rescued.journal, build, sent);
    if (rescued.lost.length > 0) yield notReadLine(rescued.lost.join(" "));
  }
}

/** More are not packed into an archive; the build's own file has them. */
const mostHandedOver = 20_000;

/** The same to be handed over with an account: of many attempts the newest, and without what nobody else needs. */
export function attemptsHandedOver(journal: Journal, build: Build): string {
  const ended = [...journal.attempts.eachOf(build.id)].filter(({ outcome }) => outcome !== "running");
  const lines = attemptCsvLines(ended.slice(-mostHandedOver), namesOn(journal, build), notHandedOver);
  return [attemptCsvHeader(chipOf(journal, build), notHandedOver), ...lines].join("");
}

/** A header without its units is better than no file of what can still be read. */
function chipOf(journal: Journal, { chipId }: Build): Chip | undefined {
  try {
    return journal.chips.find(chipId);
  } catch {
    return undefined;
  }
}

/** Those not yet sent; `sent` is told of each. */
function linesOf(journal: Journal, build: Build, sent: Set<string>): Generator<string> {
  return attemptCsvLines(unsent(journal.attempts.eachOf(build.id), sent), namesOn(journal, build));
}

function namesOn(journal: Journal, build: Build) {
  const workloads = new Map(journal.workloads.all().map(({ id, name }) => [id, name]));
  return ({ workloadId }: Attempt) => ({ workload: workloads.get(workloadId) ?? "", build: build.name });
}

function* unsent(attempts: Iterable<Attempt>, sent: Set<string>): Generator<Attempt> {
  for (const attempt of attempts) {
    if (sent.has(attempt.id)) continue;
    sent.add(attempt.id);
    yield attempt;
  }
}
