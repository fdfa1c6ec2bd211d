import type { FastifyReply, FastifyRequest } from "fastify";

const begun = new WeakMap<FastifyRequest, string>();

/** The change told last before anything was read for a page: to be noted when it is asked for. */
export const noteBegun = (request: FastifyRequest, heard: string): void => void begun.set(request, heard);

/**
 * A page listens from there on, so that what changes between its writing and its listening is not missed. One that
 * answers a form says so: it cannot be asked for again.
 */
const withPlace = (html: string, request: FastifyRequest): string => {
  const heard = begun.get(request);
  const sent = request.method === "POST" ? " data-sent" : "";
  return heard === undefined ? html : html.replace('<main id="main"', `$& data-heard="${heard}"${sent}`);
};

/** A page as it is now; the browser asks again when it is come back to. */
export const sendPage = (reply: FastifyReply, html: string, status = 200): FastifyReply =>
  reply
    .code(status)
    .type("text/html; charset=utf-8")
    .header("cache-control", "no-store")
    .send(withPlace(html, reply.request));
