import * as z from "zod";
import { noiseDraft } from "../noise/noiseReading.ts";
import { pictureInDocument } from "../pictures/picture.ts";
import { output } from "../things/asSet.ts";
import { attemptDraft } from "../things/attempt.ts";
import { boardDraft } from "../things/board.ts";
import { buildDraft, mountDraft, partNames } from "../things/build.ts";
import { chipDraft } from "../things/chip.ts";
import { issueWords } from "../things/issueWords.ts";
import { ruleDraft } from "../things/rule.ts";
import { count, id, instant, text } from "../things/units.ts";
import { versionDraft } from "../things/version.ts";
import { workloadDraft } from "../things/workload.ts";
import { isDeleted } from "./account.ts";
import { gaveWayInDocument } from "./gaveWay.ts";
import { type MergedList, mergedLists } from "./registers.ts";
import { editInDocument, stampInDocument, stampsInDocument } from "./stampsInDocument.ts";
import { traceChunkInDocument, traceInDocument } from "./traceInDocument.ts";

/** Counts the forms a whole journal has been exported in: the second says when what was written, and what was deleted. */
export const documentVersion = 2;

/** The largest export that is taken back in one piece. */
export const documentLimitBytes = 256 << 20;

/** What stands in every section of a whole journal: every thing with all its fields, an attempt with its edits, traces as packed. */
function sectionSchemas() {
  const kept = {
    id,
    createdAt: instant,
    updatedAt: instant,
    version: count("The version").min(1, "A version counts from 1."),
    stamps: stampsInDocument.nullish(),
    history: z.array(editInDocument).nullish(),
  };

  const setAside = z.strictObject({ reason: text(500), at: instant });
  const asBuilt = z.strictObject(
    Object.fromEntries(partNames.map((part) => [part, text(200)])) as Record<
      (typeof partNames)[number],
      ReturnType<typeof text>
    >,
  );
  return {
    chips: chipDraft.extend(kept),
    boards: boardDraft.extend(kept),
    workloads: workloadDraft.extend(kept),
    rules: ruleDraft.extend(kept),
    builds: buildDraft.extend(kept),
    mounts: mountDraft.extend({ ...kept, buildId: id, mountedAt: instant.nullish() }),
    versions: versionDraft.extend({ ...kept, buildId: id }),
    outputs: z.strictObject({ attemptId: id, output }),
    noise: noiseDraft.extend({ ...kept, buildId: id, takenAt: instant }),
    attempts: attemptDraft.extend({
      ...kept,
      buildId: id,
      mountId: id,
      startedAt: instant,
      setAside: setAside.nullish(),
      asBuilt,
    }),
    pictures: z.strictObject({ ...kept, ...pictureInDocument }),
    writeUpWords: z.strictObject({
      builds: text(1000),
      slot: text(60),
      words: text(20_000),
      replaced: text(20_000),
      updatedAt: instant,
      stamp: stampInDocument.nullish(),
      dropped: z.boolean().nullish(),
    }),
    traces: traceInDocument,
    traceChunks: traceChunkInDocument,
    gaveWay: gaveWayInDocument,
    /** What stood in a paragraph of an account before the words that stand there now, on whichever bench. */
    earlierWords: z.strictObject({
      builds: text(1000),
      slot: text(60),
      words: text(20_000),
      stamp: stampInDocument,
    }),
  };
}

/** A deleted thing, as it stands in the section of its list. */
const deletedInDocument = z.strictObject({
  list: z.enum(mergedLists, { error: `A list is one of: ${mergedLists.join(", ")}.` }),
  thing: z.record(z.string(), z.unknown()),
});

type Schemas = ReturnType<typeof sectionSchemas>;
export type DocumentSection = keyof Schemas;
export type DocumentThing<Section extends DocumentSection> = z.infer<Schemas[Section]>;
export type DocumentPicture = DocumentThing<"pictures">;
export type DocumentAttempt = DocumentThing<"attempts">;

/** In an order in which each thing comes after what it refers to. */
export const documentSections = [
  ...mergedLists,
  "outputs",
  "writeUpWords",
  "traces",
  "traceChunks",
  "gaveWay",
  "earlierWords",
] as const satisfies readonly DocumentSection[];

/** What was deleted, each with the list it is of; once it is read it stands with the others of its list. */
export const deletedSection = "deleted";

/** What a document says of itself before its sections. */
const headSchemas = {
  journal: z.literal("rungbook", { error: "This is not an exported journal." }),
  version: z.literal([1, documentVersion]),
  exportedAt: instant,
  /** Of a damaged journal: what could not be read and so is not in the document, in sentences. */
  notRead: z.string(),
};
export const documentHead = Object.keys(headSchemas) as readonly (keyof typeof headSchemas)[];
/** What a document may do without: sections that the first exports had not, and words only some say. */
export const mayLack: readonly string[] = [
  "notRead",
  deletedSection,
  "versions",
  "outputs",
  "pictures",
  "writeUpWords",
  "traces",
  "traceChunks",
  "gaveWay",
  "earlierWords",
];

/** Where something is wrong, like `chips.0.tempLimitC`, and what. */
export type DocumentFault = readonly [place: string, words: string];

/** Made for the first document that comes: schemas this large are felt at every start. */
let schemas: Schemas | undefined;

export type ReadThing = { section: DocumentSection; thing: unknown } | { faults: readonly DocumentFault[] };

/** One thing of a section as it is to be kept, with its fields in one order; or what is wrong with it. */
export function documentThingFrom(
  section: DocumentSection | typeof deletedSection,
  place: string,
  sent: unknown,
): ReadThing {
  schemas ??= sectionSchemas();
  if (section === deletedSection) return deletedThingFrom(place, sent, schemas);
  const read = readBy(schemas[section], place, sent);
  return "faults" in read ? read : { section, ...read };
}

function deletedThingFrom(place: string, sent: unknown, from: Schemas): ReadThing {
  const outer = readBy(deletedInDocument, place, sent);
  if ("faults" in outer) return outer;
  const { list: section, thing } = outer.thing as { list: MergedList; thing: unknown };
  const read = readBy(from[section], `${place}.thing`, thing);
  if ("faults" in read) return read;
  const { stamps } = read.thing as { stamps?: z.infer<typeof stampsInDocument> | null };
  if (stamps && isDeleted(stamps)) return { section, ...read };
  return { faults: [[`${place}.thing.stamps`, "It does not say when it was deleted."]] };
}

/** What is wrong with a word of the head; nothing where it is well. */
export function documentHeadFaults(name: string, sent: unknown): readonly DocumentFault[] {
  const schema = headSchemas[name as keyof typeof headSchemas];
  const read = readBy(schema, name, sent);
  return "faults" in read ? read.faults : [];
}

function readBy(
  schema: z.ZodType,
  place: string,
  sent: unknown,
): { thing: unknown } | { faults: readonly DocumentFault[] } {
  const read = schema.safeParse(sent, { error: issueWords });
  if (read.success) return { thing: read.data };
  return {
    faults: read.error.issues.map(
      ({ path, message }): DocumentFault => [[place, ...path].join("."), message],
    ),
  };
}
