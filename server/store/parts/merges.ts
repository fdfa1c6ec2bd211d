import { and, desc, eq, lt, sql } from "drizzle-orm";
import { toInstant, toMs } from "../rows/columns.ts";
import type { Db } from "../rows/db.ts";
import { mergeSteps, merges } from "../rows/historySchema.ts";
import type { Memory } from "../rows/memory.ts";

/** A merge that can still be undone. */
export type Merge = Readonly<{ id: string; at: string; added: number; updated: number }>;

/** What a merge wrote of one thing: how it was before, null where it was not here, and how it was left. */
export type MergeStep = Readonly<{ list: string; thingId: string; before: string | null; left: string }>;

const fromRow = ({ id, at, added, updated }: typeof merges.$inferSelect): Merge => ({
  ...{ id, added, updated },
  at: toInstant(at),
});

export const mergeStore = (db: Db, memory: Memory) => ({
  keep({ id, at, added, updated }: Merge, steps: Iterable<MergeStep>): void {
    memory.forget();
    db.insert(merges)
      .values({ id, at: toMs(at), added, updated })
      .run();
    const add = db.$client.prepare(
      'INSERT INTO merge_steps (merge_id, list, thing_id, before, "left") VALUES (?, ?, ?, ?, ?)',
    );
    for (const { list, thingId, before, left } of steps) add.run(id, list, thingId, before, left);
  },
  /** The latest first. */
  all(): Merge[] {
    const rows = db.select().from(merges).orderBy(desc(merges.at), desc(merges.id)).all();
    return rows.map(fromRow);
  },
  find(id: string): Merge | undefined {
    const row = db.select().from(merges).where(eq(merges.id, id)).get();
    return row && fromRow(row);
  },
  /** The last thing written first. */
  stepsBack(id: string): MergeStep[] {
    return db.select().from(mergeSteps).where(eq(mergeSteps.mergeId, id)).orderBy(desc(mergeSteps.id)).all();
  },
  /** The first thing written, without how it was. */
  firstOf(id: string): Pick<MergeStep, "list" | "thingId"> | undefined {
    const { list, thingId } = mergeSteps;
    return db
      .select({ list, thingId })
      .from(mergeSteps)
      .where(eq(mergeSteps.mergeId, id))
      .orderBy(mergeSteps.id)
      .get();
  },
  forget(id: string): void {
    memory.forget();
    db.delete(merges).where(eq(merges.id, id)).run();
  },
  forgetBefore(then: string): void {
    db.delete(merges)
      .where(lt(merges.at, toMs(then)))
      .run();
  },
  /** What was kept of the attempts of a build for undoing a merge: each tells of the parts it ran with. */
  forgetAttemptsOf(buildId: string): void {
    const isOfBuild = sql`json_extract(${mergeSteps.before}, '$.fields.buildId') = ${buildId}`;
    db.delete(mergeSteps)
      .where(and(eq(mergeSteps.list, "attempts"), isOfBuild))
      .run();
  },
  /** What was kept of a thing for undoing a merge. */
  forgetThing(thingId: string): void {
    db.delete(mergeSteps).where(eq(mergeSteps.thingId, thingId)).run();
  },
});
