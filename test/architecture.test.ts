import { readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import { describe, expect, it } from "vitest";
import { files, inside, outside, roomOf, root, server, told } from "./house/imports.ts";
import { floorOf, mayImport, pictureOfHouse } from "./house/rooms.ts";

const web = path.join(root, "web");
const inWeb = (name: string): string => path.join(web, name);
const exportedName = /^export (?:async )?(?:const|function|type|class|interface) (\w+)/gm;

describe("the house", () => {
  it("has the rooms it says it has", () => {
    const rooms = new Set(files.map(roomOf));
    const loose = readdirSync(server).map((name) => name.replace(/\.tsx?$/, ""));
    expect([...rooms].filter((room) => !(room in mayImport) && !loose.includes(room))).toEqual([]);
    expect(Object.keys(mayImport).filter((room) => !rooms.has(room))).toEqual([]);
    expect(files.length).toBeGreaterThan(50);
  });

  it("keeps no loose file in the bench or the store", () => {
    const loose = files.filter((file) =>
      ["bench", "store"].includes(path.relative(server, path.dirname(file))),
    );
    expect(loose.map((file) => path.relative(root, file))).toEqual([]);
  });

  it("lets each room import only those below it", () => {
    const wrong = inside.filter((one) => {
      const [from, to] = [roomOf(one.from), roomOf(one.to)];
      return from in mayImport && from !== to && !mayImport[from]?.includes(to);
    });
    expect(told(wrong)).toEqual([]);
  });

  it("has every arrow between rooms point downward", () => {
    const upward = inside.filter((one) => {
      const [from, to] = [roomOf(one.from), roomOf(one.to)];
      return from !== to && floorOf(from) <= floorOf(to);
    });
    expect(told(upward)).toEqual([]);
  });

  it("stands in DEVELOPERS.md as it is: whoever moves a wall draws it there anew", () => {
    const told = readFileSync(path.join(root, "DEVELOPERS.md"), "utf8");
    const [, drawn = ""] = /```house\n([\s\S]*?)\n```/.exec(told) ?? [];
    expect(drawn).toBe(pictureOfHouse());
  });

  it("lets no page import another page", () => {
    const pageOf = (file: string) => /pages\/(?!kit\/|attemptForm\/)([^/]+)\//.exec(file)?.[1] ?? null;
    const wrong = inside.filter((one) => {
      const [from, to] = [pageOf(one.from), pageOf(one.to)];
      return from !== null && to !== null && from !== to;
    });
    expect(told(wrong)).toEqual([]);
  });

  it("keeps SQLite and Drizzle in the store, zod at the edge, fastify in pages, interface and app", () => {
    const allowed: readonly [RegExp, readonly string[]][] = [
      [/^(drizzle-orm|better-sqlite3)/, ["store"]],
      [/^zod$/, ["bench", "requests", "pages", "interface", "settings"]],
      [/^(fastify|@fastify\/)/, ["requests", "pages", "interface", "app", "guard", "admission", "patience"]],
      [/^preact/, ["html", "pages"]],
    ];
    const wrong = outside.filter((one) =>
      allowed.some(
        ([library, rooms]) => library.test(one.to) && !rooms.includes(roomOf(one.from).split("/")[0] ?? ""),
      ),
    );
    expect(told(wrong)).toEqual([]);
  });

  it("gives no two things the same exported name", () => {
    const named = new Map<string, string[]>();
    for (const file of [...files, ...readdirSync(web, { recursive: true, encoding: "utf8" }).map(inWeb)])
      if (/\.tsx?$/.test(file))
        for (const [, name = ""] of readFileSync(file, "utf8").matchAll(exportedName))
          named.set(name, [...(named.get(name) ?? []), path.relative(root, file)]);
    expect([...named].filter(([, places]) => new Set(places).size > 1)).toEqual([]);
    expect(named.size).toBeGreaterThan(1000);
  });

  it("has no circles, types included", () => {
    const graph = new Map(
      files.map((file) => [file, inside.filter((one) => one.from === file).map((one) => one.to)]),
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
