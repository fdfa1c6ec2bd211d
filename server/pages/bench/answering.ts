import type { FastifyReply } from "fastify";
import type { PageContext } from "../context.ts";
import { freshForm } from "../forms.ts";
import { beginningPage } from "./beginningView.tsx";
import { type Asked, benchShown } from "./shown.ts";
import { benchPage } from "./view.tsx";

export const sendHtml = (reply: FastifyReply, status: number, html: string): FastifyReply =>
  reply.code(status).type("text/html; charset=utf-8").header("cache-control", "no-store").send(html);

/** The bench as it stands, or the form that begins a journal. */
export function benchAnswer(
  context: PageContext,
  reply: FastifyReply,
  asked: Asked,
  status = 200,
): FastifyReply {
  const shown = benchShown(context, asked);
  return sendHtml(
    reply,
    status,
    shown === null ? beginningPage(context, freshForm()) : benchPage(context, shown),
  );
}
