import type { FastifyInstance } from "fastify";
import { backupRule, backupRuleWords } from "../bench/document/backupRule.ts";
import type { Context } from "../requests/context.ts";
import { noQuery, queryOf } from "../requests/reading.ts";
import { answerOutside } from "./answering.ts";

const tags = ["journal"];

/** The backups of the journal: listed, made, looked over and put in place. */
export function registerBackups(app: FastifyInstance, context: Context): void {
  const { files, journal } = context;
  app.get("/api/backups", { schema: { tags } }, () => ({
    folder: files.folder,
    rule: { ...backupRule, words: backupRuleWords },
    lastFault: files.lastFault(),
    items: files.backups(),
  }));
  app.post("/api/backups", { schema: { tags } }, (_, reply) =>
    answerOutside(context, reply, 201, files.backUp),
  );
  app.get("/api/backups/:name/faults", { schema: { tags } }, async (request) => ({
    faults: await files.faults(nameIn(request)),
  }));
  app.put("/api/backups/:name/restoration", { schema: { tags } }, async (request) => {
    const aside = await files.restore(nameIn(request));
    return { restored: nameIn(request), attempts: journal.attempts.count(), aside };
  });
}

const nameIn = ({ params }: { params: unknown }): string => (params as { name: string }).name;
