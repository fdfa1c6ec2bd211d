import { Readable } from "node:stream";
import type { FastifyInstance } from "fastify";
import { type ImportOrder, importAttempts, importPreview } from "../actions/importAttempts.ts";
import { invalid, missing } from "../bench/things/refusal.ts";
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
    const { text, name } = attemptsCsvOf(context.journal, idOf(request, "build"));
    return reply
      .type("text/csv; charset=utf-8; header=present")
      .header("content-disposition", `attachment; filename="${name}"`)
      .send(Readable.from(text));
  });
  app.register(async (inner) => {
    inner.addContentTypeParser(
      "text/csv",
      { parseAs: "buffer", bodyLimit: attemptFileLimits.bytes },
      (_, body, done) => done(null, body),
    );
    inner.post("/api/builds/:id/attempts.csv", { schema: { tags, params: idParams } }, (request, reply) => {
      const buildId = idOf(request, "build");
      if (!Buffer.isBuffer(request.body)) throw invalid("Send the lines as text/csv.");
      const order = orderFrom(context.journal, buildId, request.body);
      return answerPost(context, request, reply, 201, (at) => {
        refuseAny(importPreview(order, at).refused);
        return importAttempts(order, at);
      });
    });
  });
}

function attemptsCsvOf(journal: Journal, buildId: string): { text: Generator<string>; name: string } {
  const build = journal.builds.find(buildId);
  if (!build) throw missing("build");
  const workloads = new Map(journal.workloads.all().map(({ id, name }) => [id, name]));
  const named = ({ workloadId }: { workloadId: string }) => ({
    workload: workloads.get(workloadId) ?? "",
    build: build.name,
  });
  const name = `attempts ${build.name}`
    .replace(/[^\p{L}\p{N}]+/gu, "-")
    .normalize("NFKD")
    .replace(/[^\w-]/g, "");
  return { text: attemptCsvText(journal.attempts.allOf(buildId), named), name: `${name}.csv` };
}

function orderFrom(journal: Journal, buildId: string, body: Buffer): ImportOrder {
  const file = attemptFileOf(textOf(body));
  const mapping = mappingRemembered(journal.importMappings.find(file.key), file, "UTC");
  return { file, mapping, buildId, aboveCeiling: false };
}

function refuseAny(refused: readonly { line: number; because: string }[]): void {
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
