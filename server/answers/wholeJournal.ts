import { documentVersion } from "../bench/document/journalDocument.ts";
import { packingVersion } from "../bench/document/traceInDocument.ts";
import type { Attempt } from "../bench/things/attempt.ts";
import type { Journal } from "../store/file/journal.ts";

/** What the document holds, in an order in which each thing comes after what it refers to. */
const sections: Readonly<Record<string, (journal: Journal) => Iterable<unknown>>> = {
  chips: ({ chips }) => chips.all(),
  boards: ({ boards }) => boards.all(),
  workloads: ({ workloads }) => workloads.all(),
  rules: ({ rules }) => rules.all(),
  builds: ({ builds }) => builds.all(),
  mounts: ({ mounts }) => mounts.all(),
  noise: ({ noise }) => noise.all(),
  attempts: attemptsWithHistory,
  pictures: picturesWithImage,
  writeUpWords: ({ writeUpWords }) => writeUpWords.all(),
  traces: traceOutlines,
  traceChunks,
};

/** So many characters are sent in one piece, or the one thing that has more. */
const pieceLength = 1 << 18;

/** The whole journal as one JSON text, piece by piece, so that no more of it is in memory than a few hundred attempts. */
export function* wholeJournalText(journal: Journal, now: string): Generator<string> {
  yield `{"journal":"rungbook","version":${documentVersion},"exportedAt":${JSON.stringify(now)}`;
  for (const [name, things] of Object.entries(sections)) {
    yield `,\n"${name}":[`;
    yield* listed(things(journal));
    yield "]";
  }
  yield "}\n";
}

function* listed(things: Iterable<unknown>): Generator<string> {
  let piece = "";
  let before = "\n";
  for (const thing of things) {
    piece += before + JSON.stringify(thing);
    before = ",\n";
    if (piece.length < pieceLength) continue;
    yield piece;
    piece = "";
  }
  yield piece;
}

/** What follows from the bytes is left out: it is found again when they are read. */
function* picturesWithImage({ pictures }: Journal): Generator<unknown> {
  for (const { type: _t, widthPx: _w, heightPx: _h, sizeBytes: _s, ...picture } of pictures.all())
    yield { ...picture, image: pictures.imageOf(picture.id)?.toString("base64") ?? "" };
}

function* traceOutlines({ traces }: Journal): Generator<unknown> {
  for (const attemptId of traces.attempts.ids()) {
    const { id: _id, ...outline } = traces.outline(attemptId) ?? {};
    yield { attemptId, packing: packingVersion, ...outline };
  }
}

/** Chunk by chunk, since a trace may be larger than memory. */
function* traceChunks({ traces }: Journal): Generator<unknown> {
  for (const attemptId of traces.attempts.ids())
    for (const { packed, ...chunk } of traces.packedChunks(attemptId))
      yield { attemptId, ...chunk, packed: packed.toString("base64") };
}

function* attemptsWithHistory({ builds, attempts }: Journal): Generator<unknown> {
  const edited = attempts.edited();
  for (const build of builds.all()) {
    for (let after: string | null = null, more = true; more; ) {
      const page: { items: readonly Attempt[]; next: string | null } = attempts.pageOf(build.id, {
        limit: 500,
        after,
      });
      for (const attempt of page.items)
        yield { ...attempt, history: edited.has(attempt.id) ? attempts.editsOf(attempt.id) : [] };
      after = page.next;
      more = after !== null;
    }
  }
}
