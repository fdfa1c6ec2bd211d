import { readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import { expect, it } from "vitest";

const web = path.resolve(import.meta.dirname, "../dist/web");
const kept = readdirSync(web).filter((name) => /\.(js|css)$/.test(name));

it("what a browser may keep for good carries a hash or a version in its name", () => {
  expect(kept.length).toBeGreaterThan(5);
  for (const name of kept) expect(name).toMatch(/-([A-Z0-9]{8}|\d+\.\d+\.\d+)\.(js|css)$/);
});

it("every piece that a script names is there", () => {
  const named = kept.flatMap((name) => {
    const text = readFileSync(path.join(web, name), "utf8");
    return [...text.matchAll(/"\.\/([\w.-]+-[A-Z0-9]{8}\.js)"/g)].map(([, piece]) => piece as string);
  });
  expect(named.some((name) => name.startsWith("tickWorker-"))).toBe(true);
  for (const name of named) expect(kept).toContain(name);
});
