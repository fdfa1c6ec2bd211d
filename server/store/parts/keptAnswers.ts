import { and, eq } from "drizzle-orm";
import type { BuildAim } from "../../bench/things/aim.ts";
import type { Db } from "../rows/db.ts";
import type { Memory } from "../rows/memory.ts";
import { keptAnswers } from "./keptAnswerSchema.ts";

/** So many shapes an answer has been kept in; one kept in an earlier shape is worked out anew. */
const form = 5;

/** Each build's answer as last fitted, plain data; what it says is for those who reckon it. */
export const keptAnswerStore = (db: Db, memory: Memory) => ({
  find(buildId: string, { use, goal }: BuildAim): unknown {
    return memory.recall(`${buildId} ${use} ${goal}`, () => {
      const named = and(
        eq(keptAnswers.buildId, buildId),
        eq(keptAnswers.use, use),
        eq(keptAnswers.goal, goal),
      );
      const row = db.select().from(keptAnswers).where(named).get();
      return row?.form === form ? row.answer : undefined;
    });
  },
  keep(buildId: string, { use, goal }: BuildAim, answer: unknown): void {
    memory.forget();
    db.insert(keptAnswers)
      .values({ buildId, use, goal, form, answer })
      .onConflictDoUpdate({
        target: [keptAnswers.buildId, keptAnswers.use, keptAnswers.goal],
        set: { form, answer },
      })
      .run();
  },
});
