import { eq } from "drizzle-orm";
import { toMs } from "../rows/columns.ts";
import type { Db } from "../rows/db.ts";
import { importMappings } from "../rows/schema.ts";

/** Which column means what, as the tester settled it for a header line seen before. */
export const importMappingStore = (db: Db) => ({
  find(header: string): unknown {
    return db.select().from(importMappings).where(eq(importMappings.header, header)).get()?.mapping;
  },
  keep(header: string, mapping: unknown, now: string): void {
    const at = toMs(now);
    db.insert(importMappings)
      .values({ header, mapping, at })
      .onConflictDoUpdate({ target: importMappings.header, set: { mapping, at } })
      .run();
  },
});
