import { readdirSync, readFileSync } from "node:fs";
import path from "node:path";

export const root = path.resolve(import.meta.dirname, "../..");
export const server = path.join(root, "server");

export type Import = Readonly<{ from: string; to: string }>;

const filesUnder = (folder: string): string[] =>
  readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /\.tsx?$/.test(entry.name))
    .map((entry) => path.join(entry.parentPath, entry.name));

const importedIn = (file: string): string[] => {
  const found = readFileSync(file, "utf8").matchAll(
    /(?:^|\n)\s*(?:import|export)[^"';]*?from\s+"([^"]+)"|import\(\s*"([^"]+)"\s*\)|(?:^|\n)import\s+"([^"]+)"/g,
  );
  return [...found].map((match) => match[1] ?? match[2] ?? match[3] ?? "");
};

export const files = filesUnder(server);

const imports: readonly Import[] = files.flatMap((file) =>
  importedIn(file).map((to) => ({ from: file, to })),
);

/** Imports of our own files, with the whole path of what is imported. */
export const inside: readonly Import[] = imports
  .filter(({ to }) => to.startsWith("."))
  .map(({ from, to }) => ({ from, to: path.resolve(path.dirname(from), to) }));

/** Imports of packages. */
export const outside: readonly Import[] = imports.filter(({ to }) => !to.startsWith("."));

export const told = (some: readonly Import[]): string[] =>
  some.map(({ from, to }) => `${path.relative(root, from)} imports ${path.relative(root, to)}`);

/** The rooms whose subjects are rooms of their own. */
const divided = ["bench", "store"];

/** "bench/heat" of server/bench/heat/spans.ts, "pages" of server/pages/power/view.tsx, "main" of server/main.ts. */
export const roomOf = (file: string): string => {
  const [first = "", second = "", third] = path.relative(server, file).split(path.sep);
  if (second === "") return first.replace(/\.tsx?$/, "");
  return divided.includes(first) && third !== undefined ? `${first}/${second}` : first;
};
