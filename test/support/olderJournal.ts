import path from "node:path";
import Database from "better-sqlite3";
import { layOut } from "../store/file/keptJournals.ts";
import { temporaryFolder } from "./bench.ts";

/** The journal that an older program left, with one of its attempts written down many times. */
export function olderJournal(
  steps: number,
  { attempts, noteLength }: { attempts: number; noteLength: number },
): string {
  const file = path.join(temporaryFolder(), "old.db");
  layOut(steps, file);
  const old = new Database(file);
  old.pragma("foreign_keys = ON");
  const one = old.prepare("SELECT * FROM attempts WHERE outcome = 'pass' LIMIT 1").get() as object;
  old.exec("DELETE FROM attempts");
  const names = Object.keys(one);
  const add = old.prepare(
    `INSERT INTO attempts (${names.map((name) => `"${name}"`).join()}) VALUES (${names.map((name) => `@${name}`).join()})`,
  );
  const idOf = (n: number): string => `01c2aedc-0ce0-7000-8000-${String(n).padStart(12, "0")}`;
  old.transaction(() => {
    for (let n = 0; n < attempts; n++) add.run({ ...one, id: idOf(n), note: "x".repeat(noteLength) });
  })();
  old.exec("VACUUM");
  old.close();
  return file;
}
