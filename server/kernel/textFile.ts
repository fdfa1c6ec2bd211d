import { readdirSync, readFileSync } from "node:fs";

/** The kernel's small files are read at once: waiting for each in turn would cost more than reading it. */
export function textNow(file: string): string | null {
  try {
    return readFileSync(file, "utf8");
  } catch {
    return null;
  }
}

/** A whole number that stands alone in a file; null where there is none. */
export function numberNow(file: string): number | null {
  const text = textNow(file)?.trim() ?? "";
  return /^-?\d+$/.test(text) ? Number(text) : null;
}

export function namesNow(folder: string): readonly string[] {
  try {
    return readdirSync(folder).sort((a, b) => a.localeCompare(b, "en", { numeric: true }));
  } catch {
    return [];
  }
}
