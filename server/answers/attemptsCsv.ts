import type { Attempt } from "../bench/things/attempt.ts";
import type { Build } from "../bench/things/build.ts";
import type { Chip } from "../bench/things/chip.ts";
import { attemptCsvHeader, attemptCsvLines, notReadLine } from "../csv/attemptCsvText.ts";
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
  const workloads = new Map(journal.workloads.all().map(({ id, name }) => [id, name]));
  const named = ({ workloadId }: Attempt) => ({
    workload: workloads.get(workloadId) ?? "",
    build: build.name,
  });
  return attemptCsvLines(unsent(journal.attempts.eachOf(build.id), sent), named);
}

function* unsent(attempts: Iterable<Attempt>, sent: Set<string>): Generator<Attempt> {
  for (const attempt of attempts) {
    if (sent.has(attempt.id)) continue;
    sent.add(attempt.id);
    yield attempt;
  }
}
