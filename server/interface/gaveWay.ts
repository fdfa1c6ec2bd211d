import type { FastifyInstance } from "fastify";
import * as z from "zod";
import { bringGaveWayBack, gaveWayOfAttempt } from "../actions/bringBack.ts";
import { columnsOfTrace } from "../actions/keptTrace.ts";
import type { GaveWay } from "../bench/document/gaveWay.ts";
import { whenWritten } from "../bench/document/stamp.ts";
import { stampInDocument } from "../bench/document/stampsInDocument.ts";
import { missing } from "../bench/things/refusal.ts";
import { id } from "../bench/things/units.ts";
import { columnsCsv } from "../csv/tableCsv.ts";
import type { Context } from "../requests/context.ts";
import { idOf, idParams, noQuery, queryOf } from "../requests/reading.ts";
import { answerEdit } from "./answering.ts";

const tags = ["attempts"];
const params = z.strictObject({ id, stamp: stampInDocument });

/** Traces and outputs of an attempt that gave way when journals were merged: listed, looked at, let stand again. */
export function registerGaveWay(app: FastifyInstance, context: Context): void {
  const { journal } = context;

  app.get("/api/attempts/:id/gave-way", { schema: { tags, params: idParams } }, (request) => {
    const attemptId = idOf(request, "attempt");
    if (!journal.attempts.find(attemptId)) throw missing("attempt");
    return { items: gaveWayOfAttempt(attemptId, journal).map(told) };
  });

  app.get("/api/attempts/:id/gave-way/:stamp", { schema: { tags, params } }, (request, reply) => {
    const attemptId = idOf(request, "attempt");
    if (!journal.attempts.find(attemptId)) throw missing("attempt");
    const one = journal.attempts.gaveWayOf(attemptId).find(({ stamp }) => stamp === stampOf(request.params));
    if (one === undefined) throw missing("trace or output of this attempt that gave way");
    if (one.what === "output") return reply.type("text/plain; charset=utf-8").send(one.output);
    const heads = one.trace.channels.map(({ channel, unit }) => `${channel} (${unit})`);
    return reply
      .type("text/csv; charset=utf-8")
      .header("content-disposition", 'attachment; filename="trace.csv"')
      .send(columnsCsv(["time (s)", ...heads], columnsOfTrace(one.trace)));
  });

  app.put("/api/attempts/:id/gave-way/:stamp/restoration", { schema: { tags, params } }, (request, reply) => {
    const attemptId = idOf(request, "attempt");
    return answerEdit(context, reply, (at) => bringGaveWayBack(attemptId, stampOf(request.params), at));
  });
}

const stampOf = (params: unknown): string => (params as { stamp: string }).stamp;

function told({ stamp, ...one }: GaveWay) {
  const of = { what: one.what, stamp, writtenAt: whenWritten(stamp) };
  if (one.what === "output") return { ...of, characters: one.output.length };
  const { rows, every, fromS, toS, startedAt = null, channels } = one.trace;
  return { ...of, rows, every, fromS, toS, startedAt, channels };
}
