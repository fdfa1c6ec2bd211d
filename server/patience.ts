import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import { Refusal } from "./bench/things/refusal.ts";

export type PatienceOptions = Readonly<{
  /** A body of which nothing has come for so long is cut off. */
  stallMs: number;
  /** So long is read on after an answer that did not wait for the whole body, so that the answer arrives. */
  lingerMs: number;
  connections: number;
}>;

export const usualPatience: PatienceOptions = { stallMs: 30_000, lingerMs: 2_000, connections: 256 };

/** How long this server waits for whoever sends, and how it lets go of what it will not read. */
export function patience(app: FastifyInstance, options: PatienceOptions): void {
  app.server.maxConnections = options.connections;
  app.addHook("onRequest", async (request, reply) => {
    if (!hasBody(request)) return;
    assertRoom(request);
    watchBody(request, reply, options.stallMs);
  });
  app.addHook("onSend", async (request, reply, payload) => {
    if (hasBody(request) && request.raw.complete === false) readOn(request, reply, options.lingerMs);
    return payload;
  });
}

const hasBody = ({ headers }: FastifyRequest): boolean =>
  headers["transfer-encoding"] !== undefined || Number(headers["content-length"] ?? 0) > 0;

/** What says beforehand that it is too large need not be sent first. */
function assertRoom({ headers, routeOptions }: FastifyRequest): void {
  const most = routeOptions.bodyLimit;
  if (most === undefined || !(Number(headers["content-length"] ?? 0) > most)) return;
  const size = most >= 1 << 20 ? `${Math.floor(most / (1 << 20))} MiB` : `${most} bytes`;
  throw new Refusal("too-large", `This is larger than is taken in one piece: ${size} at most.`);
}

/** Only the sender's own silence counts: while we still hold what came, nothing more can. */
function watchBody({ raw }: FastifyRequest, reply: FastifyReply, stallMs: number): void {
  const { socket } = raw;
  let seen = socket.bytesRead;
  let silentMs = 0;
  const everyMs = stallMs / 6;
  const watch = setInterval(() => {
    if (raw.complete !== false || raw.destroyed) clearInterval(watch);
    else {
      const isSilent = socket.bytesRead === seen && raw.readableLength === 0;
      silentMs = isSilent ? silentMs + everyMs : 0;
      seen = socket.bytesRead;
      if (silentMs < stallMs) return;
      clearInterval(watch);
      cutOff(raw, reply);
    }
  }, everyMs).unref();
}

function cutOff({ socket }: FastifyRequest["raw"], reply: FastifyReply): void {
  if (!reply.raw.headersSent)
    socket.write("HTTP/1.1 408 Request Timeout\r\nconnection: close\r\ncontent-length: 0\r\n\r\n");
  socket.destroySoon();
}

/**
 * A connection closed while the other side still sends takes the answer with it: so what still comes is read and thrown
 * away for a moment, and the connection goes only then.
 */
function readOn({ raw }: FastifyRequest, reply: FastifyReply, lingerMs: number): void {
  reply.removeHeader("connection");
  raw.unpipe();
  for (const event of ["readable", "data"]) raw.removeAllListeners(event);
  raw.resume();
  const timer = setTimeout(() => raw.complete || raw.socket.destroy(), lingerMs).unref();
  raw.once("close", () => clearTimeout(timer));
}
