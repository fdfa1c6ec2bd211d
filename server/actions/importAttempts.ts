import { createHash } from "node:crypto";
import { attemptFrom } from "../bench/things/attemptFrom.ts";
import { invalid } from "../bench/things/refusal.ts";
import type { WorkloadKind } from "../bench/things/workload.ts";
import { eachLineRead, type GoodLine, type KnownNames, type RefusedLine } from "../csv/attemptCsv.ts";
import type { AttemptFile } from "../csv/attemptFile.ts";
import { type AttemptMapping, assertMapping, settledFor, wordKey, wordsIn } from "../csv/attemptMapping.ts";
import { uuidV7 } from "../store/rows/ids.ts";
import type { At } from "./context.ts";
import { found } from "./keeping.ts";
import { workloadActions } from "./parts.ts";

export type ImportOrder = Readonly<{
  file: AttemptFile;
  mapping: AttemptMapping;
  /** The build of the lines that name none. */
  buildId: string;
  /** Says that lines above the chip's voltage ceiling are meant. */
  aboveCeiling: boolean;
}>;

/** A line that becomes an attempt. Its id follows from what it says, so that the same line is the same attempt. */
export type ComingLine = GoodLine & Readonly<{ id: string }>;

export type ImportPreview = Readonly<{
  /** What would be added, in the order of the file. */
  coming: readonly ComingLine[];
  /** How many lines the journal holds already. */
  already: number;
  refused: readonly RefusedLine[];
  newWorkloads: readonly Readonly<{ id: string; name: string }>[];
  /** How many lines are refused only for lying above the chip's ceiling. */
  aboveCeiling: number;
}>;

export type ImportResult = Readonly<{ added: number; already: number; refused: number }>;

/** What an import would do, line by line, before anything is written. */
export function importPreview(order: ImportOrder, at: At): ImportPreview {
  const { made, lines } = linesOf(order, at, (_name, _kind) => at.journal.newId(at.now));
  const coming: ComingLine[] = [];
  const refused: RefusedLine[] = [];
  let [already, aboveCeiling] = [0, 0];
  for (const sorted of lines) {
    if (sorted.kind === "coming") coming.push(sorted.line);
    else if (sorted.kind === "already") already += 1;
    else refused.push(sorted.line);
    if (sorted.kind === "over") aboveCeiling += 1;
  }
  return { coming, already, refused, newWorkloads: made, aboveCeiling };
}

/** Adds every good line in one commit, one after the other. Lines that are there already are left as they are. */
export function importAttempts(
  order: ImportOrder,
  at: At,
  onRefused: (line: RefusedLine) => void = () => undefined,
): ImportResult {
  const { lines } = linesOf(order, at, (name, kind) => workloadActions.add({ name, kind }, at).id);
  const result = { added: 0, already: 0, refused: 0 };
  for (const sorted of lines) {
    if (sorted.kind === "coming") {
      putLine(sorted.line, at);
      result.added += 1;
    } else if (sorted.kind === "already") result.already += 1;
    else {
      onRefused(sorted.line);
      result.refused += 1;
    }
  }
  at.journal.importMappings.keep(order.file.key, order.mapping, at.now);
  return result;
}

type WorkloadMaker = (name: string, kind: WorkloadKind) => string;

/** Over the ceiling is what is refused for that alone, without a word that it is meant. */
type SortedLine =
  | Readonly<{ kind: "coming"; line: ComingLine }>
  | Readonly<{ kind: "already" }>
  | Readonly<{ kind: "refused" | "over"; line: RefusedLine }>;

/** The lines of the file in its order, each with what is to become of it. */
function linesOf(order: ImportOrder, at: At, make: WorkloadMaker) {
  found(at.journal.builds.find(order.buildId), "build");
  assertMapping(order.mapping, order.file);
  assertWorkloads(order.mapping, at);
  const { known, made } = namesKnown(order, at, make);
  return { made, lines: linesSorted(eachLineRead(order.file, order.mapping, known, at.now), order, at) };
}

function* linesSorted(
  lines: Iterable<GoodLine | RefusedLine>,
  order: ImportOrder,
  at: At,
): Generator<SortedLine> {
  const tooHigh = ceilingReader(order, at);
  const seen = new Map<string, number>();
  const met = new Set<string>();
  for (const line of lines) {
    if ("because" in line) {
      yield { kind: "refused", line };
      continue;
    }
    const id = idOf(line, seen, at);
    const because = tooHigh(line);
    const aboveCeiling = line.draft.aboveCeiling || order.aboveCeiling;
    if (met.has(id) || at.journal.attempts.find(id)) yield { kind: "already" };
    else if (because !== null) yield { kind: "over", line: { line: line.line, because, waits: false } };
    else {
      met.add(id);
      yield { kind: "coming", line: { ...line, id, draft: { ...line.draft, aboveCeiling } } };
    }
  }
}

function assertWorkloads({ workloads, workloadId }: AttemptMapping, { journal }: At): void {
  if (workloadId !== null && !journal.workloads.find(workloadId))
    throw invalid("There is no such workload.", { workloadId: "There is no such workload." });
  for (const meant of Object.values(workloads))
    if (!meant.startsWith("new:") && !journal.workloads.find(meant))
      throw invalid("A workload chosen for a name is not in the journal any more.");
}

/** The names a file may use: those of the journal, those the tester has settled, and those made new. */
function namesKnown({ file, mapping, buildId }: ImportOrder, { journal }: At, make: WorkloadMaker) {
  const byName = (things: readonly { id: string; name: string }[]) =>
    new Map([...things].reverse().map(({ id, name }) => [wordKey(name), id]));
  const workloads = byName(journal.workloads.all());
  const made: { id: string; name: string }[] = [];
  for (const word of wordsIn(file, mapping, "workload")) {
    const meant = settledFor(mapping.workloads, word);
    if (meant === undefined || workloads.has(wordKey(word))) continue;
    const id = meant.startsWith("new:") ? make(word, meant.slice(4) as WorkloadKind) : meant;
    if (id !== meant) made.push({ id, name: word });
    workloads.set(wordKey(word), id);
  }
  const known: KnownNames = { workloads, builds: byName(journal.builds.all()), buildId };
  return { known, made };
}

/** Why a line may not be taken for its voltage; null where it may. */
function ceilingReader({ aboveCeiling }: ImportOrder, { journal }: At): (line: GoodLine) => string | null {
  const ceilings = new Map<string, number | null>();
  const ceilingOf = (buildId: string): number | null => {
    const known = ceilings.get(buildId);
    if (known !== undefined) return known;
    const chipId = journal.builds.find(buildId)?.chipId ?? "";
    const ceiling = journal.chips.find(chipId)?.voltageCeilingMv ?? null;
    ceilings.set(buildId, ceiling);
    return ceiling;
  };
  return ({ buildId, draft }) => {
    const ceiling = ceilingOf(buildId);
    if (ceiling === null || draft.voltageMv <= ceiling || draft.aboveCeiling || aboveCeiling) return null;
    return `${draft.voltageMv / 1000} V lies above the ceiling of ${ceiling / 1000} V set for this chip; confirm that it is meant.`;
  };
}

/**
 * An exported line keeps its id, unless another build has it. Any other line is known by what it says and by how many
 * lines above say the same.
 */
function idOf(line: GoodLine, seen: Map<string, number>, { journal }: At): string {
  if (line.ownId !== null) {
    const there = journal.attempts.find(line.ownId) ?? journal.attempts.findDeleted(line.ownId);
    if (there === undefined || there.buildId === line.buildId) return line.ownId;
  }
  const { aboveCeiling: _meant, ...said } = line.draft;
  const words = JSON.stringify([line.buildId, said, line.setAsideReason]).replace(/\\r\\n/g, "\\n");
  const nth = seen.get(words) ?? 0;
  seen.set(words, nth + 1);
  const hash = createHash("sha256").update(`${words} ${nth}`).digest();
  return uuidV7(said.startedAt ? Date.parse(said.startedAt) : 0, hash);
}

/** A line whose attempt was deleted brings that one back. */
function putLine({ id, buildId, draft, setAsideReason }: ComingLine, { journal, now }: At): void {
  if (journal.attempts.findDeleted(id)) {
    journal.attempts.restore(id);
    return;
  }
  const build = found(journal.builds.find(buildId), "build");
  const reading = attemptFrom(draft, now);
  journal.attempts.put(
    { id, createdAt: now, updatedAt: now, version: 1 },
    {
      ...reading,
      buildId,
      mountId: journal.mounts.at(buildId, reading.startedAt),
      stateId: journal.builds.stateOf(build),
      setAside: setAsideReason === null ? null : { reason: setAsideReason, at: now },
    },
  );
}
