import type { FastifyInstance, FastifyRequest } from "fastify";
import { type NoteQuestion, noteText, settingNoteOf } from "../../answers/settingNote.ts";
import { invalid } from "../../bench/things/refusal.ts";
import { idOf } from "../../requests/reading.ts";
import { numberAsked } from "../kit/addressed.ts";
import type { PageContext } from "../kit/context.ts";
import { sendPage } from "../kit/sendPage.ts";
import { paths } from "../paths.ts";
import { settingNotePage } from "./view.tsx";

/** What to enter again where firmware or driver has forgotten it, to print and as text. */
export function registerSettingNote(app: FastifyInstance, context: PageContext): void {
  const noteFor = (asked: NoteQuestion) => settingNoteOf(context.journal, context.reckonings, asked);

  app.get(paths.settingNote(":id"), (request, reply) => {
    const asked = askedIn(request);
    return sendPage(reply, settingNotePage(context, asked.buildId, noteFor(asked)));
  });

  app.get(paths.settingNoteText(":id"), (request, reply) =>
    reply.type("text/plain; charset=utf-8").send(noteText(noteFor(askedIn(request)))),
  );
}

/** Neither clock nor voltage asks for the answer. */
function askedIn(request: FastifyRequest): NoteQuestion {
  const buildId = idOf(request, "build");
  const [clockMhz, voltageMv] = [numberAsked(request, "clockMhz"), numberAsked(request, "voltageMv")];
  if (clockMhz === null && voltageMv === null) return { buildId, setting: null };
  if (clockMhz === null || clockMhz < 1 || clockMhz > 20_000)
    throw invalid("The address names no clock from 1 to 20,000 MHz.");
  if (voltageMv === null || voltageMv < 100 || voltageMv > 3000)
    throw invalid("The address names no voltage from 100 to 3,000 mV.");
  return { buildId, setting: { clockMhz, voltageMv } };
}
