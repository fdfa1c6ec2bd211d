import type { SpoolDisk } from "./spoolDisk.ts";

/** A spool that lasts as long as whoever holds it: for machines that are made up. */
export function memoryDisk(): SpoolDisk {
  const files = new Map<string, string>();
  return {
    names: () => [...files.keys()],
    read: (name) => files.get(name) ?? null,
    append: (name, text) => void files.set(name, (files.get(name) ?? "") + text),
    syncNow: () => true,
    sync: () => undefined,
    remove: (name) => void files.delete(name),
    rename: (name, other) => {
      files.set(other, files.get(name) ?? "");
      files.delete(name);
    },
  };
}
