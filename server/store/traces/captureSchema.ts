import { integer, sqliteTable, text } from "drizzle-orm/sqlite-core";

/** Which of the machine's own sensors is which channel, as the tester chose, and whether it is recorded. */
export const captureSensors = sqliteTable("capture_sensors", {
  /** As the kernel's interface names it: device and input. */
  sensor: text().primaryKey(),
  channel: text().notNull(),
  recorded: integer({ mode: "boolean" }).notNull(),
  chosenAt: integer("chosen_at").notNull(),
  checksum: integer(),
});
