import { existsSync } from "node:fs";
import path from "node:path";

/** Where the backups of a journal are kept unless another folder is named. */
export const backupFolderOf = (journal: string): string => path.join(path.dirname(journal), "backups");

export const stemOf = (journal: string): string => path.basename(journal).replace(/\.db$/, "");

/** For the backup made before a journal's schema changes. */
export function freeNameBefore(journal: string, folder: string, schemas: number): string {
  for (let n = 0; ; n++) {
    const name = `${stemOf(journal)}-before-update-from-${schemas}${n === 0 ? "" : `-${n}`}.db`;
    if (!existsSync(path.join(folder, name))) return path.join(folder, name);
  }
}
