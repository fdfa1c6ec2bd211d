import { Readable } from "node:stream";
import fastifyMultipart from "@fastify/multipart";
import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import { usualLogLimits } from "../../bench/logs/logLimits.ts";
import type { Attempt } from "../../bench/things/attempt.ts";
import { conflict, invalid, missing, Refusal } from "../../bench/things/refusal.ts";
import { fragmentHtml, pageHtml } from "../../html/document.tsx";
import { idOf } from "../../requests/reading.ts";
import { type WaitingLog, type WaitingLogs, waitingLogsOf } from "../../waiting/waitingLogs.ts";
import { unitsOfBuild } from "../kit/clockUnit.ts";
import type { PageContext } from "../kit/context.ts";
import { type FormState, formAfter, freshForm, typedIn, wantsPiece } from "../kit/forms.ts";
import { pastedLogBytes } from "../kit/logForm.tsx";
import { sendPage } from "../kit/sendPage.ts";
import { paths } from "../paths.ts";
import { frameOf } from "../siteMap.ts";
import { columnsTyped } from "./columnsTyped.ts";
import { ColumnsPage, LogRefusedPage, ReadingPage, ReadingPiece, TablePage } from "./logView.tsx";
import { tableTyped } from "./tableForm.tsx";

const bodyLimit = usualLogLimits.bytes + pastedLogBytes + (1 << 20);

/** A log in three steps: sent, its columns settled, read. Each works without script. */
export async function registerLogPages(app: FastifyInstance, context: PageContext): Promise<void> {
  const waiting = waitingLogsOf(context);
  app.addHook("onClose", async () => waiting.close());
  await app.register(async (inner) => {
    await inner.register(fastifyMultipart, {
      throwFileSizeLimit: false,
      limits: {
        fileSize: usualLogLimits.bytes,
        fieldSize: pastedLogBytes,
        files: 1,
        fields: 2,
        parts: 3,
        headerPairs: 50,
      },
    });

    inner.post("/heat/:id/logs", { bodyLimit }, async (request, reply) => {
      const attempt = attemptIn(context, request);
      try {
        const log = await received(waiting, attempt, request);
        return reply.redirect(paths.log(attempt.id, log.id), 303);
      } catch (error) {
        return refusedAnswer(context, reply, attempt, error, waiting.waiting());
      }
    });
  });

  app.get("/heat/:id/logs/:logId", (request, reply) => {
    const attempt = attemptIn(context, request);
    const log = waiting.find(attempt.id, logIdIn(request));
    return wantsPiece(request.headers) && log.state.kind !== "failed"
      ? sendPage(reply, fragmentHtml(<ReadingPiece attempt={attempt} log={log} />))
      : logAnswer(context, reply, attempt, log);
  });

  app.post("/heat/:id/logs/:logId/reading", async (request, reply) => {
    const attempt = attemptIn(context, request);
    const log = waiting.find(attempt.id, logIdIn(request));
    const typed = typedIn(request.body);
    try {
      if (log.state.kind === "untabled") throw invalid("Say first where its table begins.");
      const done = waiting.read(log, columnsTyped(typed, log));
      await Promise.race([done, soon()]);
    } catch (error) {
      return logAnswer(context, reply, attempt, log, formAfter(error, typed));
    }
    if (isFailed(log)) return logAnswer(context, reply, attempt, log, formAfter(refusalIn(log), typed));
    return reply.redirect(
      isPlainlyDone(log) ? paths.heatRun(attempt.id) : paths.log(attempt.id, log.id),
      303,
    );
  });

  app.post("/heat/:id/logs/:logId/table", async (request, reply) => {
    const attempt = attemptIn(context, request);
    const log = waiting.find(attempt.id, logIdIn(request));
    const typed = typedIn(request.body);
    try {
      await waiting.tabled(log, tableTyped(typed));
    } catch (error) {
      return tableAnswer(context, reply, attempt, log, formAfter(error, typed));
    }
    return reply.redirect(paths.log(attempt.id, log.id), 303);
  });

  app.post("/heat/:id/logs/:logId/cancellation", (request, reply) => {
    const attempt = attemptIn(context, request);
    waiting.giveUp(attempt.id, logIdIn(request));
    return reply.redirect(paths.heatRun(attempt.id), 303);
  });
}

/** A log that is read this quickly needs no page of its own about it. */
const soon = (): Promise<void> =>
  new Promise((resolve) => {
    setTimeout(resolve, 1500).unref();
  });

const logIdIn = (request: FastifyRequest): string => (request.params as { logId?: string }).logId ?? "";

function attemptIn({ journal }: PageContext, request: FastifyRequest): Attempt {
  const attempt = journal.attempts.find(idOf(request, "attempt"));
  if (!attempt) throw missing("attempt");
  return attempt;
}

/** What was received of a request that breaks off after it does not wait. */
async function received(
  waiting: WaitingLogs,
  attempt: Attempt,
  request: FastifyRequest,
): Promise<WaitingLog> {
  const before = new Set(waiting.waiting());
  const own: WaitingLog[] = [];
  try {
    return await receivedFirst(waiting, attempt, request, (log) => own.push(log));
  } catch (error) {
    for (const log of own) if (!before.has(log)) waiting.giveUp(attempt.id, log.id);
    throw error;
  }
}

/** The file, else the pasted lines, whichever comes first with anything in it. */
async function receivedFirst(
  waiting: WaitingLogs,
  attempt: Attempt,
  request: FastifyRequest,
  note: (log: WaitingLog) => void,
): Promise<WaitingLog> {
  if (attempt.outcome === "running")
    throw conflict("This attempt is still running; read its log once it has ended.");
  let found: WaitingLog | null = null;
  for await (const part of request.parts()) {
    if (part.type === "field") {
      if (part.fieldname !== "text" || found !== null || String(part.value).trim() === "") continue;
      if (part.valueTruncated)
        throw new Refusal(
          "too-large",
          `At most ${pastedLogBytes >> 20} MiB can be pasted; send the file instead.`,
        );
      found = await waiting.receive(
        attempt.id,
        Readable.from([Buffer.from(String(part.value))]),
        () => false,
      );
      note(found);
    } else if (found === null && part.filename) {
      found = await waiting.receive(attempt.id, part.file, () => part.file.truncated);
      note(found);
    } else part.file.resume();
  }
  if (found === null)
    throw invalid("Choose a file, or paste the lines of a log.", { file: "A log is needed." });
  return found;
}

function refusedAnswer(
  context: PageContext,
  reply: FastifyReply,
  attempt: Attempt,
  error: unknown,
  logs: readonly WaitingLog[],
): FastifyReply {
  const isLarge = error instanceof Refusal && error.code === "too-large";
  const form: FormState = isLarge
    ? { typed: {}, refused: { message: error.message, fields: {} } }
    : formAfter(error, {});
  const page = <LogRefusedPage {...pageOf(context, attempt)} form={form} waiting={logs} />;
  return sendPage(reply, pageHtml(page), isLarge ? 413 : 422);
}

/** What every page of a log says besides: whose it is, in the units of its chip. */
const pageOf = (context: PageContext, attempt: Attempt) => ({
  frame: frameOf(context, "heat"),
  attempt,
  chip: unitsOfBuild(context.journal, attempt.buildId),
});

const isFailed = (log: WaitingLog): boolean => log.state.kind === "failed";
const isPlainlyDone = ({ state }: WaitingLog): boolean =>
  state.kind === "done" && state.taken.log.skipped.length === 0 && state.taken.log.adjusted.length === 0;

/** A log may be too large only once its rows are counted; that can be mended by a smaller one, or by fewer columns. */
function refusalIn({ state }: WaitingLog): unknown {
  const error = state.kind === "failed" ? state.error : undefined;
  return error instanceof Refusal && error.code === "too-large" ? invalid(error.message) : error;
}

/** Where its table begins, asked where none is seen, or where another one was meant. */
function tableAnswer(
  context: PageContext,
  reply: FastifyReply,
  attempt: Attempt,
  log: WaitingLog,
  form: FormState,
): FastifyReply {
  const page = <TablePage {...pageOf(context, attempt)} log={log} form={form} />;
  return sendPage(reply, pageHtml(page), form.refused ? 422 : 200);
}

function logAnswer(
  context: PageContext,
  reply: FastifyReply,
  attempt: Attempt,
  log: WaitingLog,
  form: FormState = isFailed(log) ? formAfter(refusalIn(log), {}) : freshForm(),
): FastifyReply {
  if (log.state.kind === "untabled") return tableAnswer(context, reply, attempt, log, form);
  const isMatching = log.state.kind === "matching" || log.state.kind === "failed";
  const page = isMatching ? (
    <ColumnsPage {...pageOf(context, attempt)} log={log} form={form} />
  ) : (
    <ReadingPage {...pageOf(context, attempt)} log={log} />
  );
  return sendPage(reply, pageHtml(page), form.refused ? 422 : 200);
}
