import { expect } from "vitest";

/** Lines as they were told before. */
export const heldLines = (name: string, lines: readonly string[]) =>
  expect(`${lines.join("\n")}\n`).toMatchFileSnapshot(`answers/${name}.txt`);

const isNothing = (value: unknown): boolean =>
  value === undefined ||
  value === null ||
  Number.isNaN(value) ||
  (Array.isArray(value) && value.length === 0);

/** What a cell is to each that reads cells, those of one mind together; nothing is told of those that read nothing in it. */
export function readAs(cell: string, readers: Readonly<Record<string, (cell: string) => unknown>>): string {
  const said = new Map<string, string[]>();
  for (const [name, read] of Object.entries(readers)) {
    const value = read(cell);
    if (isNothing(value)) continue;
    const words = typeof value === "object" ? JSON.stringify(value) : String(value);
    said.set(words, [...(said.get(words) ?? []), name]);
  }
  const told = [...said].map(([words, names]) => `${words} (${names.join(" ")})`);
  return `${JSON.stringify(cell)}  ${told.join("  ") || "nothing"}`;
}
