import { type AttemptDraft, attemptDraft } from "../bench/things/attempt.ts";
import { assertBegun, attemptFrom } from "../bench/things/attemptFrom.ts";
import { Refusal } from "../bench/things/refusal.ts";
import { isId } from "../bench/things/units.ts";
import { cellReading } from "./attemptCell.ts";
import { attemptColumn } from "./attemptColumns.ts";
import type { AttemptFile } from "./attemptFile.ts";
import type { AttemptMapping } from "./attemptMapping.ts";
import { outcomeMeant, wordKey } from "./attemptMapping.ts";
import type { CsvRecord } from "./csvRecords.ts";
import type { DecimalSign } from "./logNumber.ts";
import { momentIn } from "./momentCell.ts";

/** What the journal knows that a file may speak of. Names are keyed by `wordKey`. */
export type KnownNames = Readonly<{
  workloads: ReadonlyMap<string, string>;
  builds: ReadonlyMap<string, string>;
  /** The build of the lines that name none. */
  buildId: string;
}>;

export type GoodLine = Readonly<{
  line: number;
  buildId: string;
  draft: AttemptDraft;
  setAsideReason: string | null;
  /** The attempt's own id, where the file is an export. */
  ownId: string | null;
}>;
export type RefusedLine = Readonly<{
  line: number;
  because: string;
  /** Nothing is wrong with it: it only holds a word that is still to be settled. */
  waits: boolean;
}>;

export type LinesRead = Readonly<{ good: readonly GoodLine[]; refused: readonly RefusedLine[] }>;

/** Every line of the file as an attempt, or why it is none. Lines count from 1, as in the file. */
export function linesRead(
  file: AttemptFile,
  mapping: AttemptMapping,
  known: KnownNames,
  now: string,
): LinesRead {
  const good: GoodLine[] = [];
  const refused: RefusedLine[] = [];
  for (const read of eachLineRead(file, mapping, known, now)) {
    if ("because" in read) refused.push(read);
    else good.push(read);
  }
  return { good, refused };
}

/** The same line by line, for a file whose attempts are more than memory should hold. */
export function* eachLineRead(
  file: AttemptFile,
  mapping: AttemptMapping,
  known: KnownNames,
  now: string,
): Generator<GoodLine | RefusedLine> {
  for (const record of file.records) yield lineRead(record, file, mapping, known, now);
}

function lineRead(
  record: CsvRecord,
  { shape }: AttemptFile,
  mapping: AttemptMapping,
  known: KnownNames,
  now: string,
): GoodLine | RefusedLine {
  const { line, cells } = record;
  const refuse = (because: string, waits = false): RefusedLine => ({ line, because, waits });
  if (record.unclosed) return refuse("A quotation mark is opened here and never closed.");
  if (cells.length < shape.names.length && cells.length < lastUsed(mapping) + 1)
    return refuse(`The line breaks off after ${cells.length} of ${shape.names.length} columns.`);
  if (cells.slice(shape.names.length).some((cell) => cell.trim() !== ""))
    return refuse(
      `The line has ${cells.length} columns, the header ${shape.names.length}. Does a text with a separator lack its quotes?`,
    );
  const values = new Values(mapping, shape.decimal);
  mapping.meanings.forEach((meaning, at) => {
    if (meaning !== null) values.read(meaning.field, meaning.unit, cells[at] ?? "");
  });
  const buildId = values.buildMeant(known);
  values.workloadMeant(known);
  values.momentMeant();
  if (values.faults.length > 0) return refuse([...values.faults, ...values.unsettled].join(" "));
  const { id, setAsideReason, ...candidate } = values.found;
  const draft = draftOrWhyNot({ ...values.standIns, ...candidate }, now);
  if (typeof draft === "string") return refuse([draft, ...values.unsettled].join(" "));
  if (values.unsettled.length > 0) return refuse(values.unsettled.join(" "), true);
  return {
    line,
    buildId,
    draft,
    setAsideReason: (setAsideReason as string | undefined) ?? null,
    ownId: typeof id === "string" && isId(id) ? id : null,
  };
}

const lastUsed = ({ meanings }: AttemptMapping): number =>
  meanings.findLastIndex((meaning) => meaning !== null);

function draftOrWhyNot(candidate: Readonly<Record<string, unknown>>, now: string): AttemptDraft | string {
  const read = attemptDraft.safeParse(candidate);
  if (!read.success)
    return read.error.issues.map(({ path, message }) => titled(path[0], candidate, message)).join(" ");
  if (read.data.outcome === "running") return "An attempt in a file has ended; say how.";
  try {
    assertBegun(attemptFrom(read.data, now).startedAt, now);
    return read.data;
  } catch (error) {
    if (error instanceof Refusal) return error.message;
    throw error;
  }
}

function titled(
  place: PropertyKey | undefined,
  candidate: Readonly<Record<string, unknown>>,
  message: string,
): string {
  const field = String(place);
  const title = attemptColumn(field)?.title;
  if (title === undefined) return message;
  return candidate[field] === undefined ? `${title}: nothing is written.` : `${title}: ${message}`;
}

const someId = "00000000-0000-7000-8000-000000000000";

/** What the cells of one line come to, gathered until they are whole. */
class Values {
  readonly found: Record<string, unknown> = {};
  readonly faults: string[] = [];
  readonly unsettled: string[] = [];
  /** Put in place of words that are still to be settled, so that the rest of the line can be judged. */
  readonly standIns: Record<string, unknown> = {};
  private readonly words: Record<string, string> = {};
  private readonly mapping: AttemptMapping;
  private readonly decimal: DecimalSign;

  constructor(mapping: AttemptMapping, decimal: DecimalSign) {
    this.mapping = mapping;
    this.decimal = decimal;
  }

  read(field: string, unit: string, written: string): void {
    const cell = written.trim();
    const column = attemptColumn(field);
    if (cell === "" || column === undefined) return;
    if (["workload", "build", "startedOn", "startedClock", "startedAt"].includes(field))
      this.words[field] = cell;
    else if (field === "outcome") this.outcomeRead(cell);
    else {
      const value = cellReading(column, unit, written, this.decimal);
      if (value === undefined) this.faults.push(`${column.title}: "${shortened(cell)}" cannot be read.`);
      else this.found[field] = value;
    }
  }

  private outcomeRead(cell: string): void {
    const outcome = outcomeMeant(cell, this.mapping);
    if (outcome !== undefined) this.found.outcome = outcome;
    else this.waitFor("outcome", "stopped", `Outcome: say what "${shortened(cell)}" means.`);
  }

  buildMeant({ builds, buildId }: KnownNames): string {
    const word = this.words.build;
    if (word === undefined) return buildId;
    const named = builds.get(wordKey(word));
    if (named === undefined) this.faults.push(`Build: the journal has none named "${shortened(word)}".`);
    return named ?? buildId;
  }

  workloadMeant({ workloads }: KnownNames): void {
    const word = this.words.workload;
    if (word === undefined) {
      if (this.mapping.workloadId !== null) this.found.workloadId = this.mapping.workloadId;
      else this.waitFor("workloadId", someId, "Load: the line names none; choose one for such lines.");
      return;
    }
    const named = workloads.get(wordKey(word));
    if (named !== undefined) this.found.workloadId = named;
    else this.waitFor("workloadId", someId, `Load: say which one "${shortened(word)}" is.`);
  }

  private waitFor(field: string, standIn: string, words: string): void {
    this.standIns[field] = standIn;
    this.unsettled.push(words);
  }

  momentMeant(): void {
    const { startedAt, startedOn, startedClock } = this.words;
    if (startedAt === undefined && startedOn === undefined) {
      if (startedClock !== undefined) this.faults.push("The time of the start has no day.");
      return;
    }
    const written = startedAt ?? `${startedOn} ${startedClock ?? "00:00"}`;
    const moment = momentIn(written, this.mapping);
    if (moment === null)
      this.faults.push(`Start: "${shortened(written)}" is no date and time. Write 2031-05-04 15:42.`);
    else this.found.startedAt = moment;
  }
}

const shortened = (words: string): string => (words.length <= 40 ? words : `${words.slice(0, 39)}…`);
