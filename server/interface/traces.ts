import { createReadStream, createWriteStream, rmSync } from "node:fs";
import path from "node:path";
import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import fastifyMultipart from "@fastify/multipart";
import type { FastifyInstance, FastifyRequest } from "fastify";
import * as z from "zod";
import { keepSamples } from "../actions/samples.ts";
import { takeLog } from "../actions/takeLog.ts";
import { countAsSaid } from "../actions/traceFigures.ts";
import { replacing } from "../actions/undoMerge.ts";
import { forecastOfRun } from "../answers/heatOfAttempt.ts";
import { figuresOf, heatOf, traceOfAttempt } from "../answers/heatReckoned.ts";
import { heatAnswerOf } from "../bench/heat/heatReading.ts";
import { clocksDisagree } from "../bench/heat/loadedClock.ts";
import { besideOf, measuredSaid } from "../bench/heat/measuredBeside.ts";
import { type ColumnMatch, columnMatchesFrom } from "../bench/logs/columnMatch.ts";
import { usualLogLimits } from "../bench/logs/logLimits.ts";
import { invalid, missing } from "../bench/things/refusal.ts";
import { type SentSamples, samplesFromCsv, samplesFromNdjson } from "../csv/sampleLines.ts";
import type { Context } from "../requests/context.ts";
import { keyedRequest } from "../requests/keyedRequest.ts";
import { bodyOf, idOf, idParams, noQuery, numberInQuery, queryOf } from "../requests/reading.ts";
import { answerEdit, answerPost, sendAnswer } from "./answering.ts";

const tags = ["traces"];
const seconds = (what: string) => numberInQuery(what, 0, 100_000_000);
const channelName = z.string().min(1).max(80);
const traceQuery = z.strictObject({
  channel: channelName,
  from: seconds("from").optional(),
  to: seconds("to").optional(),
  points: numberInQuery("points", 1, 20_000).int("points must be a whole number.").optional(),
});
const heatQuery = z.strictObject({
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

  app.get("/api/attempts/:id/forecast", { schema: { tags, params: idParams } }, async (request) => {
    const attempt = context.journal.attempts.find(idOf(request, "attempt"));
    if (!attempt) throw missing("attempt");
    const ahead = forecastOfRun(context.journal, attempt, await traceOfAttempt(context, attempt));
    if (!ahead) throw missing("temperature trace of this attempt");
    return { ...ahead.forecast, course: ahead.course };
  });

  app.delete("/api/attempts/:id/trace", { schema: { tags, params: idParams } }, async (request, reply) => {
    const attemptId = idOf(request, "attempt");
    if (!context.journal.traces.outline(attemptId)) throw missing("trace of this attempt");
    await context.journal.write(() => {
      const at = { journal: context.journal, now: context.now() };
      replacing("ownTraces", [attemptId], at, () => {
        at.journal.traces.drop(attemptId);
        at.journal.attempts.noteHanging(attemptId, "trace", at.now);
      });
    });
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
      const attemptId = idOf(request, "attempt");
      if (!context.journal.attempts.find(attemptId)) throw missing("attempt");
      const { source, columns, letGo } = await sentLog(request, context);
      try {
        const keyed = keyedRequest(request, 201);
        const { given } = await takeLog(context, attemptId, source, columns, { request: keyed });
        return given === null ? reply.code(201).send() : sendAnswer(reply, given);
      } finally {
        letGo();
      }
    },
  );
}

type SentLog = Readonly<{
  source: AsyncIterable<Buffer>;
  columns: readonly ColumnMatch[] | null;
  /** To be called once it has been read. */
  letGo(): void;
}>;

const nothing = (): void => undefined;

async function sentLog(request: FastifyRequest, context: Context): Promise<SentLog> {
  if (request.isMultipart()) return logInForm(request, context);
  const source = request.body;
  if (!(source instanceof Readable)) throw invalid("Send the log as text/csv, or as a file in a form.");
  return { source: source.iterator({ destroyOnReturn: false }), columns: null, letGo: nothing };
}

/** A file behind its columns is read as it arrives; one before them waits on the disk until they are known. */
async function logInForm(request: FastifyRequest, context: Context): Promise<SentLog> {
  const parts = request.parts();
  let columns: readonly ColumnMatch[] | null = null;
  let waiting: string | null = null;
  const letGo = (): void => {
    if (waiting !== null) rmSync(waiting, { force: true });
  };
  try {
    for (let next = await parts.next(); next.done !== true; next = await parts.next()) {
      const part = next.value;
      if (part.type === "field") {
        if (part.fieldname === "columns") columns = columnMatchesFrom(String(part.value));
      } else if (columns !== null && waiting === null) return { source: part.file, columns, letGo };
      else {
        waiting = besideJournal(context);
        await pipeline(part.file, createWriteStream(waiting, { flags: "wx", mode: 0o600 }));
      }
    }
    if (waiting === null) throw invalid("The form has no file.", { file: "A log is needed." });
    return { source: createReadStream(waiting), columns, letGo };
  } catch (error) {
    letGo();
    throw error;
  }
}

/** Named like a log that waits on a page, so that what a crash leaves is cleared away with those. */
const besideJournal = ({ journal, now }: Context): string =>
  path.join(path.dirname(journal.file), `.${path.basename(journal.file)}.log-${journal.newId(now())}.csv`);

function sampleAddress(app: FastifyInstance, context: Context): void {
  const bodyLimit = 8 << 20;
  const asText = { parseAs: "string", bodyLimit } as const;
  const options = { schema: { tags, params: idParams }, bodyLimit };
  app.addContentTypeParser(
    ["application/x-ndjson", "application/jsonl", "text/csv"],
    asText,
    (_request, body, done) => done(null, body),
  );
  app.post("/api/attempts/:id/samples", options, (request, reply) => {
    const attemptId = idOf(request, "attempt");
    const attempt = context.journal.attempts.find(attemptId);
    if (!attempt) throw missing("attempt");
    const type = request.headers["content-type"] ?? "";
    if (typeof request.body !== "string")
      throw invalid("Send the lines as application/x-ndjson or text/csv.");
    const read = type.startsWith("text/csv") ? samplesFromCsv : samplesFromNdjson;
    const samples = read(request.body, attempt.startedAt);
    return answerPost(
      context,
      request,
      reply,
      200,
      (at) => keepSamples(attemptId, samples, at),
      byChannel(samples),
    );
  });
}

/** The same rows say the same, in whatever order the fields of a line were sent. */
const byChannel = ({ t, channels, values, skipped }: SentSamples) => ({
  ...{ t, skipped },
  channels: Object.fromEntries(channels.map(({ channel }, at) => [channel, values[at]])),
});
