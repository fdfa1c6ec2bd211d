import type { FastifyReply } from "fastify";

/** A page as it is now; the browser asks again when it is come back to. */
export const sendPage = (reply: FastifyReply, html: string, status = 200): FastifyReply =>
  reply.code(status).type("text/html; charset=utf-8").header("cache-control", "no-store").send(html);
