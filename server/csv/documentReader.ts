import { type ParsedTokenInfo, Tokenizer, TokenParser, TokenType } from "@streamparser/json";
import {
  type DocumentFault,
  type DocumentSection,
  deletedSection,
  documentHead,
  documentHeadFaults,
  documentSections,
  documentThingFrom,
  documentVersion,
  mayLack,
} from "../bench/document/journalDocument.ts";
import { invalid, Refusal } from "../bench/things/refusal.ts";

/** Takes the bytes of an exported journal in pieces of any size. Both throw a refusal that names the first places at fault. */
export type DocumentReader = Readonly<{
  write(bytes: Uint8Array): void;
  end(): void;
}>;

type Section = DocumentSection | typeof deletedSection;
const allSections: readonly Section[] = [...documentSections, deletedSection];

const mostFaults = 20;
/** No thing of a journal is folded deeper; what is would only be sent to exhaust the reader. */
const deepest = 40;
const closing: readonly TokenType[] = [TokenType.RIGHT_BRACE, TokenType.RIGHT_BRACKET];
const opening: readonly TokenType[] = [TokenType.LEFT_BRACE, TokenType.LEFT_BRACKET];

/**
 * Reads an exported journal as it arrives and hands over each thing once it is whole and well-formed, so that no more
 * than one is in memory. It stops at the first twenty faults.
 */
export function documentReader(
  onThing: (section: DocumentSection, thing: unknown, from: DocumentSection | typeof deletedSection) => void,
): DocumentReader {
  const faults: DocumentFault[] = [];
  const outline = outlineReader((fault) => {
    throw damaged([...faults, fault]);
  });
  const tokens = new Tokenizer();
  const things = new TokenParser({
    paths: ["$.*.*", ...documentHead.map((name) => `$.${name}`)],
    keepStack: false,
  });
  tokens.onToken = (token) => {
    outline.follow(token);
    things.write(token);
  };
  things.onValue = ({ value, key, stack }) => {
    if (stack.length === 1) headRead(String(key), value);
    else thingRead(stack[1]?.key as Section, key as number, value);
  };

  function note(fault: DocumentFault): void {
    faults.push(fault);
    if (faults.length >= mostFaults) throw damaged(faults);
  }

  function headRead(name: string, value: unknown): void {
    if (name === "journal" && value !== "rungbook") throw notAJournal();
    if (name === "version" && typeof value === "number" && value > documentVersion)
      throw invalid("This journal was exported by a newer version of the program. Nothing was changed.");
    documentHeadFaults(name, value).forEach(note);
  }

  function thingRead(section: Section, at: number, value: unknown): void {
    const read = documentThingFrom(section, `${section}.${at}`, value);
    if ("faults" in read) read.faults.forEach(note);
    else if (faults.length === 0) onThing(read.section, read.thing, section);
  }

  /** What is no JSON is told by the place where it stops being any. */
  function reading(work: () => void): void {
    try {
      work();
    } catch (error) {
      throw error instanceof Refusal ? error : brokenOff(outline.offset());
    }
  }

  return {
    write: (bytes) => reading(() => tokens.write(bytes)),
    end: () => {
      reading(() => tokens.isEnded || tokens.end());
      if (!outline.isClosed()) throw brokenOff(outline.offset());
      if (!outline.has("journal")) throw notAJournal();
      for (const name of [...documentHead, ...allSections])
        if (!outline.has(name) && !mayLack.includes(name)) note([name, "This is needed."]);
      if (faults.length > 0) throw damaged(faults);
    },
  };
}

/** Follows the outline of the document: which of its fields is being read, and how deep. */
function outlineReader(refuse: (fault: DocumentFault) => never) {
  const met = new Set<string>();
  let depth = 0;
  let field: string | null = null;
  let at = 0;

  /** The name of a field of the document, or the first token of what stands under it. */
  function followTop({ token, value }: ParsedTokenInfo): void {
    if (token === TokenType.COMMA) field = null;
    else if (field === null && token === TokenType.STRING) named(value as string);
    else if (isSection(field) && token !== TokenType.COLON && token !== TokenType.LEFT_BRACKET)
      refuse([field, "This must be a list."]);
  }

  function named(name: string): void {
    if (!isSection(name) && !(documentHead as readonly string[]).includes(name))
      refuse([name, "This field is not known."]);
    if (met.has(name)) refuse([name, "This stands here twice."]);
    met.add(name);
    field = name;
  }

  return {
    follow(info: ParsedTokenInfo): void {
      at = info.offset;
      if (depth === 0 && info.token !== TokenType.LEFT_BRACE) throw notAJournal();
      if (closing.includes(info.token)) depth -= 1;
      else if (depth === 1) followTop(info);
      if (opening.includes(info.token)) depth += 1;
      if (depth > deepest)
        throw invalid("The export is damaged: it is folded too deep. Nothing was changed.");
    },
    has: (name: string) => met.has(name),
    /** Whether what was opened is closed again; the reader of tokens stops at ease between any two of them. */
    isClosed: () => depth === 0,
    offset: () => at,
  };
}

const isSection = (name: string | null): name is Section =>
  (allSections as readonly (string | null)[]).includes(name);

const notAJournal = () => invalid("This is not an exported journal. Nothing was changed.");

const brokenOff = (offset: number) =>
  invalid(
    offset === 0
      ? "This is not an exported journal. Nothing was changed."
      : `The export is damaged: it cannot be read past character ${offset}. Is the file whole? Nothing was changed.`,
  );

function damaged(faults: readonly DocumentFault[]): Refusal {
  const [first] = faults;
  return invalid(
    `The export is damaged at ${first?.[0]}: ${first?.[1]} Nothing was changed.`,
    Object.fromEntries(faults),
  );
}
