import type { FastifyReply } from "fastify";
import type { PageContext } from "../kit/context.ts";
import { freshForm } from "../kit/forms.ts";
import { adviceSoon } from "./advised.ts";
import { beginningPage } from "./beginningView.tsx";
import { type Asked, benchShown } from "./shown.ts";
import { benchPage } from "./view.tsx";

export const sendHtml = (reply: FastifyReply, status: number, html: string): FastifyReply =>
  reply.code(status).type("text/html; charset=utf-8").header("cache-control", "no-store").send(html);

/** The bench as it stands, or the form that begins a journal. */
export async function benchAnswer(
  context: PageContext,
  reply: FastifyReply,
  asked: Asked,
  status = 200,
): Promise<FastifyReply> {
  const plain = benchShown(context, asked);
  if (plain === null) return sendHtml(reply, status, beginningPage(context, freshForm()));
  const advice = plain.trying && (await adviceSoon(context, plain.trying.asked));
  const shown = advice === null ? plain : (benchShown(context, asked, advice) ?? plain);
  return sendHtml(reply, status, benchPage(context, shown));
}
