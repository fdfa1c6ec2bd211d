import type { FastifyInstance } from "fastify";
import * as z from "zod";
import { Refusal } from "../../bench/things/refusal.ts";
import type { Admission } from "../../requests/admission.ts";
import type { PageContext } from "../kit/context.ts";
import { typedIn } from "../kit/forms.ts";
import { sendPage } from "../kit/sendPage.ts";
import { paths } from "../paths.ts";
import { signInPage } from "./view.tsx";

/** Only to a place of this server: an address that begins with two strokes would be another's. */
const toHere = z
  .string()
  .regex(/^\/(?![/\\])/)
  .max(2_000)
  .catch("/");

export function registerSignIn(app: FastifyInstance, context: PageContext, admission: Admission): void {
  app.get(paths.signIn(), (_, reply) => sendPage(reply, signInPage(context, { to: "/" })));
  app.post(paths.signIn(), async (request, reply) => {
    const typed = typedIn(request.body);
    const to = toHere.parse(typed.to);
    try {
      await admission.signIn(request, reply, typed.passphrase ?? "");
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      const status = error.extra.unauthorized ? 429 : 422;
      return sendPage(reply, signInPage(context, { to, refused: error.message }), status);
    }
    return reply.redirect(to, 303);
  });
  app.post(paths.sessionEnd(), (request, reply) => {
    const { id = "" } = typedIn(request.body);
    admission.sessions.end(id);
    return reply.redirect(`${paths.journal()}#devices`, 303);
  });
}
