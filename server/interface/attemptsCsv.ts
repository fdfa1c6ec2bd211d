import { Readable } from "node:stream";
import type { FastifyInstance } from "fastify";
import { type ImportOrder, importAttempts } from "../actions/importAttempts.ts";
import type { Build } from "../bench/things/build.ts";
import { invalid, missing } from "../bench/things/refusal.ts";
import type { RefusedLine } from "../csv/attemptCsv.ts";
import { attemptCsvText } from "../csv/attemptCsvText.ts";
import { attemptFileLimits, attemptFileOf, textOf } from "../csv/attemptFile.ts";
import { mappingRemembered } from "../csv/attemptMapping.ts";
import type { Context } from "../requests/context.ts";
import { idOf, idParams, noQuery, queryOf } from "../requests/reading.ts";
import type { Journal } from "../store/file/journal.ts";
import { answerPost } from "./answering.ts";

const tags = ["attempts"];
const refusedShown = 20;

/**
 * A build's attempts as RFC 4180, and back. A posted file is taken whole or not at all, its columns as they were
 * settled on the import page, else as the header says.
 */
export function registerAttemptsCsv(app: FastifyInstance, context: Context): void {
  app.get("/api/builds/:id/attempts.csv", { schema: { tags, params: idParams } }, (request, reply) => {
    queryOf(noQuery, request);
    const build = context.journal.builds.find(idOf(request, "build"));
    if (!build) throw missing("build");
    return reply
      .type("text/csv; charset=utf-8; header=present")
      .header("content-disposition", `attachment; filename="${fileNameOf(build)}"`)
      .send(attemptsCsvOf(context.journal, build));
  });
  app.register(async (inner) => {
    const bodyLimit = attemptFileLimits.bytes;
    const options = { schema: { tags, params: idParams }, bodyLimit };
    inner.addContentTypeParser("text/csv", { parseAs: "buffer", bodyLimit }, (_, body, done) =>
      done(null, body),
    );
    inner.post("/api/builds/:id/attempts.csv", options, (request, reply) => {
      const buildId = idOf(request, "build");
      if (!Buffer.isBuffer(request.body)) throw invalid("Send the lines as text/csv.");
      const order = orderFrom(context.journal, buildId, request.body);
      return answerPost(context, request, reply, 201, (at) => {
        const refused: RefusedLine[] = [];
        const result = importAttempts(order, at, (line) => refused.push(line));
        refuseAny(refused);
        return result;
      });
    });
  });
}

/** The attempts as they stand now; what is written meanwhile is not in it. */
function attemptsCsvOf(journal: Journal, build: Build): Readable {
  const snapshot = journal.snapshot();
  const workloads = new Map(snapshot.workloads.all().map(({ id, name }) => [id, name]));
  const named = ({ workloadId }: { workloadId: string }) => ({
    workload: workloads.get(workloadId) ?? "",
    build: build.name,
  });
  const stream = Readable.from(attemptCsvText(snapshot.attempts.eachOf(build.id), named));
  return stream.once("close", () => snapshot.close());
}

const fileNameOf = ({ name }: Build): string =>
  `attempts ${name}`
    .replace(/[^\p{L}\p{N}]+/gu, "-")
    .normalize("NFKD")
    .replace(/[^\w-]/g, "")
    .concat(".csv");

function orderFrom(journal: Journal, buildId: string, body: Buffer): ImportOrder {
  const file = attemptFileOf(textOf(body));
  const mapping = mappingRemembered(journal.importMappings.find(file.key), file, "UTC");
  return { file, mapping, buildId, aboveCeiling: false };
}

function refuseAny(refused: readonly RefusedLine[]): void {
  if (refused.length === 0) return;
  const fields = Object.fromEntries(
    refused.slice(0, refusedShown).map(({ line, because }) => [`line ${line}`, because]),
  );
  const [first] = refused;
  throw invalid(
    `${refused.length === 1 ? "One line" : `${refused.length} lines`} cannot be taken, so nothing was. Line ${first?.line}: ${first?.because}`,
    fields,
  );
}
