import { createHash } from "node:crypto";
import { attemptFrom } from "../bench/things/attemptFrom.ts";
import type { Chip } from "../bench/things/chip.ts";
import { knobsChosen } from "../bench/things/knob.ts";
import { invalid } from "../bench/things/refusal.ts";
import { ceilingPassed, settingRefusals } from "../bench/things/settingRules.ts";
import type { WorkloadKind } from "../bench/things/workload.ts";
import { eachLineRead, type GoodLine, type KnownNames, type RefusedLine } from "../csv/attemptCsv.ts";
import type { AttemptFile } from "../csv/attemptFile.ts";
import { cellsOfLines } from "../csv/attemptFileGlimpse.ts";
import { type AttemptMapping, assertMapping, settledFor, wordKey, wordsIn } from "../csv/attemptMapping.ts";
import { uuidV7 } from "../store/rows/ids.ts";
import type { At } from "./context.ts";
import { found } from "./keeping.ts";
import { newTally, noteAdded, noteBefore, type Tally } from "./mergeTally.ts";
import { workloadActions } from "./parts.ts";
import { keepUndoable } from "./undoMerge.ts";

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

/** So many lines of each kind are shown. */
const linesShown = 200;

/** How many lines there are of a kind, and the first of them. */
export type Lines<Line> = Readonly<{ count: number; first: readonly Line[] }>;
export type ShownRefusal = RefusedLine & Readonly<{ cells: readonly string[] }>;

export type ImportPreview = Readonly<{
  /** What would be added, in the order of the file. */
  coming: Lines<ComingLine>;
  /** Whether that is of more than one build. */
  ofSeveral: boolean;
  /** How many lines the journal holds already. */
  already: number;
  /** What cannot be taken, and what only waits for a word. */
  refused: Lines<ShownRefusal>;
  waiting: Lines<ShownRefusal>;
  newWorkloads: readonly Readonly<{ id: string; name: string }>[];
  /** How many lines are refused only for lying above the chip's ceiling. */
  aboveCeiling: number;
}>;

export type ImportResult = Readonly<{ added: number; already: number; refused: number }>;

/** What an import would do, line by line, before anything is written. */
export function importPreview(order: ImportOrder, at: At): ImportPreview {
  const { made, lines } = linesOf(order, at, (_name, _kind) => at.journal.newId(at.now));
  const [coming, refused, waiting] = [
    gathered<ComingLine>(),
    gathered<RefusedLine>(),
    gathered<RefusedLine>(),
  ];
  const builds = new Set<string>();
  let [already, aboveCeiling] = [0, 0];
  for (const sorted of lines) {
    if (sorted.kind === "coming") {
      coming.take(sorted.line);
      builds.add(sorted.line.buildId);
    } else if (sorted.kind === "already") already += 1;
    else if (sorted.line.waits) waiting.take(sorted.line);
    else refused.take(sorted.line);
    if (sorted.kind === "over") aboveCeiling += 1;
  }
  return {
    coming: coming.lines(),
    ofSeveral: builds.size > 1,
    already,
    refused: asWritten(refused.lines(), order.file),
    waiting: asWritten(waiting.lines(), order.file),
    newWorkloads: made,
    aboveCeiling,
  };
}

function gathered<Line>() {
  const first: Line[] = [];
  let count = 0;
  return {
    take(line: Line): void {
      count += 1;
      if (first.length < linesShown) first.push(line);
    },
    lines: (): Lines<Line> => ({ count, first }),
  };
}

function asWritten({ count, first }: Lines<RefusedLine>, file: AttemptFile): Lines<ShownRefusal> {
  const cells = cellsOfLines(file, new Set(first.map(({ line }) => line)));
  return { count, first: first.map((one) => ({ ...one, cells: cells.get(one.line) ?? [] })) };
}

/** Adds every good line in one commit, one after the other. Lines that are there already are left as they are. */
export function importAttempts(
  order: ImportOrder,
  at: At,
  onRefused: (line: RefusedLine) => void = () => undefined,
): ImportResult {
  const tally = newTally();
  const { lines } = linesOf(order, at, (name, kind) => {
    const { id } = workloadActions.add({ name, kind }, at);
    noteAdded(tally, "workloads", id, { isPlain: true });
    return id;
  });
  const result = { added: 0, already: 0, refused: 0 };
  for (const sorted of lines) {
    if (sorted.kind === "coming") {
      putLine(sorted.line, tally, at);
      result.added += 1;
    } else if (sorted.kind === "already") result.already += 1;
    else {
      onRefused(sorted.line);
      result.refused += 1;
    }
  }
  at.journal.importMappings.keep(order.file.key, order.mapping, at.now);
  keepUndoable(tally, { added: result.added, updated: 0 }, at);
  return result;
}

const refusedNamed = 20;

/** Throws where any line was refused, naming the first of them. */
export function refuseAny(refused: readonly RefusedLine[]): void {
  if (refused.length === 0) return;
  const fields = Object.fromEntries(
    refused.slice(0, refusedNamed).map(({ line, because }) => [`line ${line}`, because]),
  );
  const [first] = refused;
  throw invalid(
    `${refused.length === 1 ? "One line" : `${refused.length} lines`} cannot be taken, so nothing was. Line ${first?.line}: ${first?.because}`,
    fields,
  );
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
  assertMapping(order.mapping, order.file, chipOf(order.buildId, at));
  assertWorkloads(order.mapping, at);
  const { known, made } = namesKnown(order, at, make);
  return { made, lines: linesSorted(eachLineRead(order.file, order.mapping, known, at.now), order, at) };
}

function* linesSorted(
  lines: Iterable<GoodLine | RefusedLine>,
  order: ImportOrder,
  at: At,
): Generator<SortedLine> {
  const unfit = settingReader(order, at);
  const seen = new Map<string, number>();
  const met = new Set<string>();
  for (const line of lines) {
    if ("because" in line) {
      yield { kind: "refused", line };
      continue;
    }
    const id = idOf(line, seen, at);
    const { refused, tooHigh } = unfit(line);
    const aboveCeiling = line.draft.aboveCeiling || order.aboveCeiling;
    if (met.has(id) || at.journal.attempts.find(id)) yield { kind: "already" };
    else if (refused !== null)
      yield { kind: "refused", line: { line: line.line, because: refused, waits: false } };
    else if (tooHigh !== null)
      yield { kind: "over", line: { line: line.line, because: tooHigh, waits: false } };
    else {
      met.add(id);
      yield { kind: "coming", line: { ...line, id, draft: { ...line.draft, aboveCeiling } } };
    }
  }
}

function assertWorkloads({ workloads, workloadId }: AttemptMapping, { journal }: At): void {
  if (workloadId !== null && !journal.workloads.find(workloadId))
    throw invalid("There is no such load.", { workloadId: "There is no such load." });
  for (const meant of Object.values(workloads))
    if (!meant.startsWith("new:") && !journal.workloads.find(meant))
      throw invalid("A load chosen for a name is not in the journal any more.");
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

const chipOf = (buildId: string, { journal }: At): Chip | undefined =>
  journal.chips.find(journal.builds.find(buildId)?.chipId ?? "");

type Unfit = Readonly<{ refused: string | null; tooHigh: string | null }>;

/** Why a line's setting may not be taken: its chip has no such setting, or a ceiling lies below it. */
function settingReader({ aboveCeiling }: ImportOrder, at: At): (line: GoodLine) => Unfit {
  const chips = new Map<string, Chip | undefined>();
  return ({ buildId, draft }) => {
    if (!chips.has(buildId)) chips.set(buildId, chipOf(buildId, at));
    const chip = chips.get(buildId);
    if (chip === undefined) return { refused: null, tooHigh: null };
    const set = attemptFrom(draft, at.now);
    const [refused = null] = Object.values(settingRefusals(set, chip));
    const passed = draft.aboveCeiling || aboveCeiling ? null : ceilingPassed(set, chip);
    return { refused, tooHigh: passed === null ? null : `${passed.words}; confirm that it is meant.` };
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
function putLine(
  { id, buildId, draft, setAsideReason }: ComingLine,
  tally: Tally,
  { journal, now }: At,
): void {
  if (journal.attempts.findDeleted(id)) {
    noteBefore(tally, "attempts", id, journal.attempts.accountOf(id) ?? null);
    journal.attempts.restore(id);
    return;
  }
  noteAdded(tally, "attempts", id, { isPlain: true });
  const build = found(journal.builds.find(buildId), "build");
  const reading = attemptFrom(draft, now);
  const knobs = knobsChosen(reading.knobs, journal.chips.find(build.chipId)?.knobs ?? []);
  journal.attempts.put(
    { id, createdAt: now, updatedAt: now, version: 1 },
    Object.assign(reading, {
      knobs,
      buildId,
      mountId: journal.mounts.at(buildId, reading.startedAt),
      setAside: setAsideReason === null ? null : { reason: setAsideReason, at: now },
    }),
    journal.builds.stateOf(build),
  );
}
