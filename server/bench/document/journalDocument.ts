import { z } from "zod";
import { noiseDraft } from "../noise/noiseReading.ts";
import { pictureInDocument } from "../pictures/picture.ts";
import { attemptDraft } from "../things/attempt.ts";
import { boardDraft } from "../things/board.ts";
import { buildDraft, mountDraft, partNames } from "../things/build.ts";
import { chipDraft } from "../things/chip.ts";
import { invalid } from "../things/refusal.ts";
import { ruleDraft } from "../things/rule.ts";
import { count, id, instant, text } from "../things/units.ts";
import { workloadDraft } from "../things/workload.ts";
import { traceChunkInDocument, traceInDocument } from "./traceInDocument.ts";

/** Counts the forms a whole journal has been exported in. */
export const documentVersion = 1;

/** A whole journal as one document: every thing with all its fields, an attempt with its edits, traces as packed. */
function documentSchema() {
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
  const ownWords = z.strictObject({
    builds: text(1000),
    slot: text(60),
    words: text(20_000),
    replaced: text(20_000),
    updatedAt: instant,
  });
  const edit = z.strictObject({
    at: instant,
    changes: z.record(z.string(), z.tuple([z.unknown(), z.unknown()])),
  });

  return z.strictObject({
    journal: z.literal("rungbook", { error: "This is not an exported journal." }),
    version: z.literal(documentVersion),
    exportedAt: instant,
    chips: z.array(chipDraft.extend(kept)),
    boards: z.array(boardDraft.extend(kept)),
    workloads: z.array(workloadDraft.extend(kept)),
    rules: z.array(ruleDraft.extend(kept)),
    builds: z.array(buildDraft.extend(kept)),
    mounts: z.array(mountDraft.extend({ ...kept, buildId: id, mountedAt: instant.nullish() })),
    noise: z.array(noiseDraft.extend({ ...kept, buildId: id, takenAt: instant })),
    attempts: z.array(
      attemptDraft.extend({
        ...kept,
        buildId: id,
        mountId: id,
        startedAt: instant,
        setAside: setAside.nullish(),
        asBuilt,
        history: z.array(edit).nullish(),
      }),
    ),
    pictures: z.array(z.strictObject({ ...kept, ...pictureInDocument })).default([]),
    writeUpWords: z.array(ownWords).default([]),
    traces: z.array(traceInDocument).default([]),
    traceChunks: z.array(traceChunkInDocument).default([]),
  });
}
export type JournalDocument = z.infer<ReturnType<typeof documentSchema>>;
export type DocumentPicture = JournalDocument["pictures"][number];
export type DocumentAttempt = JournalDocument["attempts"][number];

/** Made for the first document that comes: a schema this large is felt at every start. */
let schema: ReturnType<typeof documentSchema> | undefined;

/** A document whole and well-formed; thrown back with the first places where it is not. */
export function journalDocumentFrom(sent: unknown): JournalDocument {
  const { journal, version } = (sent ?? {}) as { journal?: unknown; version?: unknown };
  if (journal !== "rungbook") throw invalid("This is not an exported journal.");
  if (typeof version === "number" && version > documentVersion)
    throw invalid("This journal was exported by a newer version of the program. Nothing was changed.");
  schema ??= documentSchema();
  const read = schema.safeParse(sent);
  if (read.success) return read.data;
  const places = read.error.issues
    .slice(0, 20)
    .map(({ path, message }) => [path.join("."), message] as const);
  const [first] = places;
  throw invalid(
    `The export is damaged at ${first?.[0]}: ${first?.[1]} Nothing was changed.`,
    Object.fromEntries(places),
  );
}
