import type { FastifyInstance } from "fastify";
import * as z from "zod";
import { takeUpAgain } from "../actions/attempts.ts";
import { attendantWord } from "../answers/attendants.ts";
import { attendantDraft, attendantName } from "../bench/things/attendant.ts";
import { invalid } from "../bench/things/refusal.ts";
import type { Context } from "../requests/context.ts";
import { bodyOf, noQuery, queryOf } from "../requests/reading.ts";

const tags = ["attendants"];
const nameParams = z.object({ name: z.string() });

/** Who attends which build. An attendant says so every second, and is answered what is armed. */
export function registerAttendants(app: FastifyInstance, { journal, attendants, now }: Context): void {
  app.get("/api/attendants", { schema: { tags } }, () => ({ items: attendants.all(now()) }));

  app.put(
    "/api/attendants/:name",
    { schema: { tags, params: nameParams, body: attendantDraft } },
    async (request) => {
      const name = attendantName.safeParse((request.params as { name: string }).name);
      if (!name.success) throw invalid(name.error.issues[0]?.message ?? "An attendant's name is needed.");
      const heard = attendants.hear(name.data, bodyOf(attendantDraft, request), now());
      const { state, attemptId } = heard;
      // Whoever runs it knows better than the journal's own start that it runs.
      if (state === "running" && attemptId && journal.interrupted.has(attemptId))
        await journal.write(() => takeUpAgain(attemptId, { journal, now: now() }));
      return attendantWord(journal, heard, attendants.shown(heard.buildId), now());
    },
  );
}
