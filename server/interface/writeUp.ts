import type { FastifyInstance } from "fastify";
import * as z from "zod";
import { accountOf, mostBuildsTold } from "../answers/accountOf.ts";
import { id } from "../bench/things/units.ts";
import { statedUses } from "../bench/writeUp/statedUse.ts";
import { writeUpOf } from "../bench/writeUp/writeUp.ts";
import { writeUpMarkdown } from "../csv/writeUpMarkdown.ts";
import type { Context } from "../requests/context.ts";
import { queryOf } from "../requests/reading.ts";

const writeUpQuery = z.strictObject({
  builds: z
    .string()
    .max(1000)
    .transform((list) => [...new Set(list.split(","))])
    .pipe(
      z
        .array(id)
        .min(1, "Name at least one build.")
        .max(mostBuildsTold, `Name at most ${mostBuildsTold} builds.`),
    ),
  use: z.enum(statedUses, { error: `use is one of: ${statedUses.join(", ")}.` }).default("aim"),
});

/** The account as blocks, or as Markdown for whoever asks for that; a script waits for the fits. */
export function registerWriteUpAnswer(app: FastifyInstance, context: Context): void {
  const { now } = context;
  app.get(
    "/api/write-up",
    { schema: { tags: ["answers"], querystring: writeUpQuery } },
    async (request, reply) => {
      const { builds, use } = queryOf(writeUpQuery, request);
      const question = { buildIds: builds, use, now: now(), invented: context.demo === true };
      const { account } = await accountOf(context, question);
      const blocks = writeUpOf(account);
      reply.header("vary", "accept");
      if (!/\btext\/markdown\b/.test(request.headers.accept ?? "")) return { blocks };
      return reply.type("text/markdown; charset=utf-8").send(writeUpMarkdown(blocks, () => null));
    },
  );
}
