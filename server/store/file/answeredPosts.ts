import { eq, lt, sql } from "drizzle-orm";
import { toMs } from "../rows/columns.ts";
import type { Db } from "../rows/db.ts";
import { answeredPosts } from "../rows/schema.ts";
import { whenAsked } from "../rows/statements.ts";

export type AnsweredPost = Readonly<{
  key: string;
  address: string;
  bodyHash: string;
  status: number;
  answer: string;
}>;

export function answeredPostStore(db: Db) {
  const byKey = whenAsked(() =>
    db
      .select()
      .from(answeredPosts)
      .where(eq(answeredPosts.key, sql.placeholder("key")))
      .prepare(),
  );
  return {
    find: (key: string): AnsweredPost | undefined => byKey().get({ key }),
    keep(post: AnsweredPost, now: string): void {
      db.insert(answeredPosts)
        .values({ ...post, at: toMs(now) })
        .run();
    },
    /** Every answer that names a thing. */
    forgetNaming(id: string): void {
      db.delete(answeredPosts).where(sql`instr(${answeredPosts.answer}, ${id}) > 0`).run();
    },
    forgetBefore(then: string): void {
      db.delete(answeredPosts)
        .where(lt(answeredPosts.at, toMs(then)))
        .run();
    },
  };
}
