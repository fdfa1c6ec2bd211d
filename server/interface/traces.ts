import type { Readable } from "node:stream";
import fastifyMultipart from "@fastify/multipart";
import type { FastifyInstance, FastifyRequest } from "fastify";
import { z } from "zod";
import { keepSamples } from "../actions/samples.ts";
import { takeLog } from "../actions/takeLog.ts";
import { countAsSaid } from "../actions/traceFigures.ts";
import { forecastOfRun } from "../answers/heatOfAttempt.ts";
import { figuresOf, heatOf } from "../answers/heatReckoned.ts";
import { heatAnswerOf } from "../bench/heat/heatReading.ts";
import { clocksDisagree } from "../bench/heat/loadedClock.ts";
import { besideOf, measuredSaid } from "../bench/heat/measuredBeside.ts";
import { type ColumnMatch, columnMatchesFrom } from "../bench/logs/columnMatch.ts";
import { usualLogLimits } from "../bench/logs/logLimits.ts";
import { invalid, missing } from "../bench/things/refusal.ts";
import { samplesFromCsv, samplesFromNdjson } from "../csv/sampleLines.ts";
import type { Context } from "../requests/context.ts";
import { bodyOf, idOf, idParams, noQuery, numberInQuery, queryOf } from "../requests/reading.ts";
import { answerEdit, answerPost } from "./answering.ts";

const tags = ["traces"];
const seconds = (what: string) => numberInQuery(what, 0, 100_000_000);
const channelName = z.string().min(1).max(80);
export const traceQuery = z.strictObject({
  channel: channelName,
  from: seconds("from").optional(),
  to: seconds("to").optional(),
  points: numberInQuery("points", 1, 20_000).optional(),
});
export const heatQuery = z.strictObject({
  channel: channelName.optional(),
  loadStartS: seconds("loadStartS").optional(),
  fromS: seconds("fromS").optional(),
  toS: seconds("toS").optional(),
});

/** The sensor traces of attempts: taken in, read by windows, and what they say of heat. */
export function registerTraces(app: FastifyInstance, context: Context): void {
  app.register((inner) => logAddresses(inner, context));
  app.register(async (inner) => sampleAddress(inner, context));

  app.get(
    "/api/attempts/:id/trace",
    { schema: { tags, params: idParams, querystring: traceQuery } },
    (request) => {
      const attemptId = idOf(request, "attempt");
      return windowAnswer(context, attemptId, queryOf(traceQuery, request));
    },
  );

  app.get(
    "/api/attempts/:id/heat",
    { schema: { tags, params: idParams, querystring: heatQuery } },
    async (request) => {
      const attempt = context.journal.attempts.find(idOf(request, "attempt"));
      if (!attempt) throw missing("attempt");
      const found = await heatOf(context, attempt, queryOf(heatQuery, request));
      if (found === null) throw missing("temperature trace of this attempt");
      return heatAnswerOf(found.run);
    },
  );

  registerMeasured(app, context);

  app.get("/api/attempts/:id/forecast", { schema: { tags, params: idParams } }, (request) => {
    queryOf(noQuery, request);
    const attempt = context.journal.attempts.find(idOf(request, "attempt"));
    if (!attempt) throw missing("attempt");
    const forecast = forecastOfRun(context.journal, attempt);
    if (!forecast) throw missing("temperature trace of this attempt");
    return forecast;
  });

  app.delete("/api/attempts/:id/trace", { schema: { tags, params: idParams } }, async (request, reply) => {
    const attemptId = idOf(request, "attempt");
    if (!context.journal.traces.outline(attemptId)) throw missing("trace of this attempt");
    await context.journal.write(() => context.journal.traces.drop(attemptId));
    return reply.code(204).send();
  });
}

/** What a trace measured of the setting it ran at, beside what was typed, and which of them counts. */
function registerMeasured(app: FastifyInstance, context: Context): void {
  const { journal } = context;
  const known = async (request: FastifyRequest) => {
    const attempt = journal.attempts.find(idOf(request, "attempt"));
    if (!attempt) throw missing("attempt");
    return { attempt, figures: await figuresOf(context, attempt) };
  };

  app.get("/api/attempts/:id/measured", { schema: { tags, params: idParams } }, async (request) => {
    queryOf(noQuery, request);
    const { attempt, figures } = await known(request);
    if (figures === null) throw missing("trace of this attempt");
    const beside = besideOf(attempt, figures, journal.attempts.editsOf(attempt.id));
    return { ...figures, clocksDisagree: clocksDisagree(figures.clocks), beside };
  });

  app.put(
    "/api/attempts/:id/measured",
    { schema: { tags, params: idParams, body: measuredSaid } },
    async (request, reply) => {
      const said = bodyOf(measuredSaid, request);
      const { attempt, figures } = await known(request);
      return answerEdit(context, reply, (at) => countAsSaid(attempt.id, said, figures, at));
    },
  );
}

function windowAnswer({ journal }: Context, attemptId: string, query: z.infer<typeof traceQuery>) {
  if (!journal.attempts.find(attemptId)) throw missing("attempt");
  const { channel, from: fromS, to: toS, points = 2000 } = query;
  const found = journal.traces.window(attemptId, { channels: [channel], fromS, toS, points });
  const [series] = found?.series ?? [];
  if (!found || !series) throw missing("channel in the trace of this attempt");
  const told = (values: Float64Array) =>
    Array.from(values, (value) => (Number.isFinite(value) ? value : null));
  return {
    channel,
    unit: series.unit,
    t: Array.from(found.t),
    min: told(series.min),
    max: told(series.max),
    mean: told(series.mean),
  };
}

/** A log as the body of a request, or as a file behind its columns in a form. */
async function logAddresses(app: FastifyInstance, context: Context): Promise<void> {
  await app.register(fastifyMultipart, {
    limits: {
      fileSize: usualLogLimits.bytes,
      files: 1,
      fields: 2,
      fieldSize: 1 << 20,
      parts: 3,
      headerPairs: 50,
    },
  });
  app.addContentTypeParser(
    ["text/csv", "text/plain", "application/octet-stream"],
    (_request, payload, done) => done(null, payload),
  );
  app.post(
    "/api/attempts/:id/trace",
    { schema: { tags, params: idParams }, bodyLimit: usualLogLimits.bytes },
    async (request, reply) => {
      queryOf(noQuery, request);
      const attemptId = idOf(request, "attempt");
      if (!context.journal.attempts.find(attemptId)) throw missing("attempt");
      const { source, columns } = await sentLog(request);
      const { log } = await takeLog(context, attemptId, source, columns);
      return reply.code(201).send({
        rows: log.rows,
        channels: log.channels,
        from: log.fromS,
        to: log.toS,
        startedAt: log.startedAt,
        skipped: log.skipped,
        adjusted: log.adjusted,
      });
    },
  );
}

type SentLog = Readonly<{ source: AsyncIterable<Buffer>; columns: readonly ColumnMatch[] | null }>;

async function sentLog(request: FastifyRequest): Promise<SentLog> {
  if (!request.isMultipart()) {
    const source = request.body as Readable | undefined;
    if (!source || typeof source !== "object" || !(Symbol.asyncIterator in source))
      throw invalid("Send the log as text/csv, or as a file in a form.");
    return { source, columns: null };
  }
  const part = await request.file();
  if (!part) throw invalid("The form has no file.", { file: "A log is needed." });
  const field = part.fields.columns;
  const columns = field && !Array.isArray(field) && field.type === "field" ? String(field.value) : null;
  return { source: part.file, columns: columns === null ? null : columnMatchesFrom(columns) };
}

function sampleAddress(app: FastifyInstance, context: Context): void {
  const asText = { parseAs: "string", bodyLimit: 8 << 20 } as const;
  app.addContentTypeParser(
    ["application/x-ndjson", "application/jsonl", "text/csv"],
    asText,
    (_request, body, done) => done(null, body),
  );
  app.post("/api/attempts/:id/samples", { schema: { tags, params: idParams } }, (request, reply) => {
    queryOf(noQuery, request);
    const attemptId = idOf(request, "attempt");
    const attempt = context.journal.attempts.find(attemptId);
    if (!attempt) throw missing("attempt");
    const type = request.headers["content-type"] ?? "";
    if (typeof request.body !== "string")
      throw invalid("Send the lines as application/x-ndjson or text/csv.");
    const read = type.startsWith("text/csv") ? samplesFromCsv : samplesFromNdjson;
    const samples = read(request.body, attempt.startedAt);
    return answerPost(context, request, reply, 200, (at) => keepSamples(attemptId, samples, at));
  });
}
