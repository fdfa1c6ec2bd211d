import type { FastifyInstance, FastifyReply } from "fastify";
import * as z from "zod";
import { Refusal } from "../bench/things/refusal.ts";
import type { Admission } from "../requests/admission.ts";
import type { Told } from "../requests/changeFeed.ts";
import type { Context } from "../requests/context.ts";
import { isHead } from "../requests/heads.ts";
import { queryOf } from "../requests/reading.ts";

/** A browser keeps one stream for all its pages; so many at once are people, not a mistake. */
const mostStreams = 100;
/** Something is sent at least so often, so that neither end keeps a dead line. */
const breathMs = 15_000;
/** A line nobody reads is let go; whoever was there comes back and is told what was missed. */
const mostUnread = 256 * 1024;

const head = {
  "content-type": "text/event-stream; charset=utf-8",
  "cache-control": "no-store",
  // A proxy that gathers answers would hold events back.
  "x-accel-buffering": "no",
};

/** The change heard of last, where that cannot be said by a header: a browser's first question of a page has none. */
const question = z.strictObject({ after: z.string().max(100).optional() });

/** The stream of what changes: server-sent events (HTML Living Standard, 9.2), one a line of JSON. */
export function registerEvents(
  app: FastifyInstance,
  { feed, admission }: Pick<Context, "feed"> & Readonly<{ admission?: Admission | null }>,
): void {
  app.get(
    "/api/events",
    {
      schema: {
        tags: ["events"],
        querystring: question,
        summary: "What changes, as it is committed: server-sent events",
        description:
          'Each event is `{ kind, id, revision }`: the list that changed, and the build (attempts) where it is one. `kind` "journal" says that anything may have changed, "all" that what was missed cannot be told. Send `Last-Event-ID`, or `after` in the address, to be told what was missed.',
      },
    },
    (request, reply) => {
      const { after = "" } = queryOf(question, request);
      if (isHead(request.raw)) return reply.headers(head).send("");
      if (feed.followers() >= mostStreams)
        throw new Refusal("conflict", `${mostStreams} streams are open already; close one.`);
      const last = String(request.headers["last-event-id"] ?? "") || after || null;
      const session = admission?.sessionOf(request) ?? null;
      const isOver = (): boolean => session !== null && admission?.sessionOf(request) !== session;
      stream(app, reply, isOver, (send) => feed.follow(last, send));
      return reply;
    },
  );
}

/**
 * Streams last for hours, so they do not count among the connections that come and go; one whose session was ended goes
 * with it.
 */
function stream(
  app: FastifyInstance,
  reply: FastifyReply,
  isOver: () => boolean,
  follow: (send: (told: Told) => void) => () => void,
): void {
  reply.hijack();
  const { raw } = reply;
  raw.writeHead(200, { ...(reply.getHeaders() as Record<string, string>), ...head });
  raw.write("retry: 1000\n\n");
  app.server.maxConnections += 1;
  const send = (words: string): void => {
    if (raw.writableLength > mostUnread || isOver()) raw.destroy();
    else raw.write(words);
  };
  const breath = setInterval(() => send(":\n\n"), breathMs).unref();
  const end = follow(({ id, words }) => {
    send(words === "" ? `id: ${id}\n\n` : `id: ${id}\ndata: ${words}\n\n`);
  });
  raw.once("close", () => {
    clearInterval(breath);
    app.server.maxConnections -= 1;
    end();
  });
}
