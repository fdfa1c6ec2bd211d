import { readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import { describe, expect, it } from "vitest";

const root = path.resolve(import.meta.dirname, "..");
const server = path.join(root, "server");

const filesUnder = (folder: string): string[] =>
  readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /\.tsx?$/.test(entry.name))
    .map((entry) => path.join(entry.parentPath, entry.name));

type Import = { from: string; to: string };

const importedIn = (file: string): string[] => {
  const code = readFileSync(file, "utf8");
  const found = code.matchAll(
    /(?:^|\n)\s*(?:import|export)[^"';]*?from\s+"([^"]+)"|import\(\s*"([^"]+)"\s*\)|(?:^|\n)import\s+"([^"]+)"/g,
  );
  return [...found].map((match) => match[1] ?? match[2] ?? match[3] ?? "");
};

const files = filesUnder(server);
const imports: Import[] = files.flatMap((file) => importedIn(file).map((to) => ({ from: file, to })));
const inside = imports.filter(({ to }) => to.startsWith("."));
const outside = imports.filter(({ to }) => !to.startsWith("."));
const targetOf = ({ from, to }: Import) => path.resolve(path.dirname(from), to);
const roomOf = (file: string): string => {
  const [first = "", second] = path.relative(server, file).split(path.sep);
  return second === undefined ? first.replace(/\.tsx?$/, "") : first;
};
const told = (some: readonly Import[]) =>
  some.map(({ from, to }) => `${path.relative(root, from)} imports ${to}`);

/** Each room may import itself and the rooms named here. */
const below = ["numerics", "bench", "csv", "store", "answers", "actions"];
const mayImport: Readonly<Record<string, readonly string[]>> = {
  numerics: [],
  bench: ["numerics"],
  csv: ["numerics", "bench"],
  store: ["numerics", "bench", "csv"],
  answers: below,
  actions: below,
  html: [],
  interface: below,
  pages: [...below.filter((room) => room !== "numerics"), "html", "interface"],
  capture: below,
  demo: below,
  workers: below,
};

describe("the house", () => {
  it("has the rooms it says it has", () => {
    const rooms = readdirSync(server, { withFileTypes: true }).filter((entry) => entry.isDirectory());
    expect(rooms.map((room) => room.name).filter((room) => !(room in mayImport))).toEqual([]);
    expect(files.length).toBeGreaterThan(50);
  });

  it("lets each room import only those below it", () => {
    const wrong = inside.filter((one) => {
      const [from, to] = [roomOf(one.from), roomOf(targetOf(one))];
      return from in mayImport && from !== to && !mayImport[from]?.includes(to);
    });
    expect(told(wrong)).toEqual([]);
  });

  it("lets no page import another page", () => {
    const pageOf = (file: string) => /pages\/([^/]+)\//.exec(file)?.[1] ?? null;
    const wrong = inside.filter((one) => {
      const [from, to] = [pageOf(one.from), pageOf(targetOf(one))];
      return from !== null && to !== null && from !== to;
    });
    expect(told(wrong)).toEqual([]);
  });

  it("keeps SQLite and Drizzle in the store, zod at the edge, fastify in pages, interface and app", () => {
    const allowed: readonly [RegExp, readonly string[]][] = [
      [/^(drizzle-orm|better-sqlite3)/, ["store"]],
      [/^zod$/, ["bench", "pages", "interface", "settings"]],
      [/^(fastify|@fastify\/)/, ["pages", "interface", "app", "guard"]],
      [/^preact/, ["html", "pages"]],
    ];
    const wrong = outside.filter((one) =>
      allowed.some(([library, rooms]) => library.test(one.to) && !rooms.includes(roomOf(one.from))),
    );
    expect(told(wrong)).toEqual([]);
  });

  it("has no circles, types included", () => {
    const graph = new Map(
      files.map((file) => [file, inside.filter((one) => one.from === file).map(targetOf)]),
    );
    const done = new Set<string>();
    const walk = (file: string, trail: readonly string[]): string[] => {
      if (trail.includes(file))
        return [
          [...trail.slice(trail.indexOf(file)), file].map((one) => path.relative(root, one)).join(" > "),
        ];
      if (done.has(file)) return [];
      const circles = (graph.get(file) ?? []).flatMap((next) => walk(next, [...trail, file]));
      done.add(file);
      return circles;
    };
    expect(files.flatMap((file) => walk(file, []))).toEqual([]);
  });

  it("reads the clock, the environment and chance nowhere below the app", () => {
    const forbidden = /\bDate\.now\(|new Date\(\)|\bMath\.random\(|\bprocess\.env\b|\bperformance\.now\(/;
    const wrong = files.filter((file) => roomOf(file) in mayImport && forbidden.test(withoutComments(file)));
    expect(wrong.map((file) => path.relative(root, file))).toEqual([]);
  });

  it("has no file over four hundred lines and no homeless names", () => {
    const long = files.filter((file) => readFileSync(file, "utf8").split("\n").length > 400);
    expect(long.map((file) => path.relative(root, file))).toEqual([]);
    const homeless = files.filter((file) =>
      /(^|\/)(utils?|helpers?|common|lib|types|index)(\.tsx?|\/)/.test(path.relative(server, file)),
    );
    expect(homeless.map((file) => path.relative(root, file))).toEqual([]);
  });
});

const withoutComments = (file: string): string =>
  readFileSync(file, "utf8").replace(/\/\*[\s\S]*?\*\/|\/\/.*$/gm, "");
