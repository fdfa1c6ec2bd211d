import { z } from "zod";
import { noiseDraft } from "../noise/noiseReading.ts";
import { pictureInDocument } from "../pictures/picture.ts";
import { attemptDraft } from "../things/attempt.ts";
import { boardDraft } from "../things/board.ts";
import { buildDraft, mountDraft, partNames } from "../things/build.ts";
import { chipDraft } from "../things/chip.ts";
import { issueWords } from "../things/issueWords.ts";
import { ruleDraft } from "../things/rule.ts";
import { count, id, instant, text } from "../things/units.ts";
import { workloadDraft } from "../things/workload.ts";
import { traceChunkInDocument, traceInDocument } from "./traceInDocument.ts";

/** Counts the forms a whole journal has been exported in. */
export const documentVersion = 1;

/** The largest export that is taken back in one piece. */
export const documentLimitBytes = 256 << 20;

/** What stands in every section of a whole journal: every thing with all its fields, an attempt with its edits, traces as packed. */
function sectionSchemas() {
  const kept = {
    id,
    createdAt: instant,
    updatedAt: instant,
    version: count("The version").min(1, "A version counts from 1."),
  };

  const setAside = z.strictObject({ reason: text(500), at: instant });
  const asBuilt = z.strictObject(
    Object.fromEntries(partNames.map((part) => [part, text(200)])) as Record<
      (typeof partNames)[number],
      ReturnType<typeof text>
    >,
  );
  const edit = z.strictObject({
    at: instant,
    changes: z.record(z.string(), z.tuple([z.unknown(), z.unknown()])),
  });

  return {
    chips: chipDraft.extend(kept),
    boards: boardDraft.extend(kept),
    workloads: workloadDraft.extend(kept),
    rules: ruleDraft.extend(kept),
    builds: buildDraft.extend(kept),
    mounts: mountDraft.extend({ ...kept, buildId: id, mountedAt: instant.nullish() }),
    noise: noiseDraft.extend({ ...kept, buildId: id, takenAt: instant }),
    attempts: attemptDraft.extend({
      ...kept,
      buildId: id,
      mountId: id,
      startedAt: instant,
      setAside: setAside.nullish(),
      asBuilt,
      history: z.array(edit).nullish(),
    }),
    pictures: z.strictObject({ ...kept, ...pictureInDocument }),
    writeUpWords: z.strictObject({
      builds: text(1000),
      slot: text(60),
      words: text(20_000),
      replaced: text(20_000),
      updatedAt: instant,
    }),
    traces: traceInDocument,
    traceChunks: traceChunkInDocument,
  };
}

type Schemas = ReturnType<typeof sectionSchemas>;
export type DocumentSection = keyof Schemas;
export type DocumentThing<Section extends DocumentSection> = z.infer<Schemas[Section]>;
export type DocumentPicture = DocumentThing<"pictures">;
export type DocumentAttempt = DocumentThing<"attempts">;

/** In an order in which each thing comes after what it refers to. The last four were not in the first exports. */
export const documentSections = [
  "chips",
  "boards",
  "workloads",
  "rules",
  "builds",
  "mounts",
  "noise",
  "attempts",
  "pictures",
  "writeUpWords",
  "traces",
  "traceChunks",
] as const satisfies readonly DocumentSection[];
export const laterSections: readonly DocumentSection[] = [
  "pictures",
  "writeUpWords",
  "traces",
  "traceChunks",
];

/** What a document says of itself before its sections. */
const headSchemas = {
  journal: z.literal("rungbook", { error: "This is not an exported journal." }),
  version: z.literal(documentVersion),
  exportedAt: instant,
};
export const documentHead = Object.keys(headSchemas) as readonly (keyof typeof headSchemas)[];

/** Where something is wrong, like `chips.0.tempLimitC`, and what. */
export type DocumentFault = readonly [place: string, words: string];

/** Made for the first document that comes: schemas this large are felt at every start. */
let schemas: Schemas | undefined;

/** One thing of a section as it is to be kept, with its fields in one order; or what is wrong with it. */
export function documentThingFrom(
  section: DocumentSection,
  place: string,
  sent: unknown,
): { thing: unknown } | { faults: readonly DocumentFault[] } {
  schemas ??= sectionSchemas();
  return readBy(schemas[section], place, sent);
}

/** What is wrong with a word of the head; nothing where it is well. */
export function documentHeadFaults(name: string, sent: unknown): readonly DocumentFault[] {
  const schema = headSchemas[name as keyof typeof headSchemas];
  const read = readBy(schema, name, sent);
  return "faults" in read ? read.faults : [];
}

function readBy(schema: z.ZodType, place: string, sent: unknown) {
  const read = schema.safeParse(sent, { error: issueWords });
  if (read.success) return { thing: read.data };
  return {
    faults: read.error.issues.map(
      ({ path, message }): DocumentFault => [[place, ...path].join("."), message],
    ),
  };
}
