import { existsSync, readdirSync, readFileSync, statSync } from "node:fs";
import path from "node:path";

/** So many test files are asked about one change; journeys and long statistics are not. */
const mostFiles = 6;

/**
 * The test files nearest to a source: the one of the same name, then those that import it, then those of its folder,
 * then those that import what imports it. Shapes: paths from the root, nearest first.
 */
export function nearestTests(
  root: string,
  source: string,
  imports: ReadonlyMap<string, ReadonlySet<string>>,
): readonly string[] {
  const mirror = path.join("test", source.replace(/^server[\\/]/, "").replace(/\.tsx?$/, ".test.ts"));
  const importers = importersOf(source, imports);
  const further = importers.flatMap((file) => importersOf(file, imports));
  const folder = path.dirname(mirror);
  const beside = existsSync(path.join(root, folder))
    ? filesUnder(path.join(root, folder)).map((file) => path.relative(root, file))
    : [];
  const candidates = [
    mirror,
    ...importers.filter(isTest),
    ...beside.filter(isTest),
    ...further.filter(isTest),
  ];
  return [...new Set(candidates)]
    .filter((file) => existsSync(path.join(root, file)) && isQuick(file))
    .slice(0, mostFiles);
}

/** Every test file that may be asked. */
export const quickTests = (root: string): readonly string[] =>
  filesUnder(path.join(root, "test"))
    .map((file) => path.relative(root, file))
    .filter((file) => isTest(file) && isQuick(file));

const isTest = (file: string): boolean => file.endsWith(".test.ts");
const isQuick = (file: string): boolean => !/journeys|promises|Promises|mutate|abuse|powerCut/.test(file);

const importersOf = (file: string, imports: ReadonlyMap<string, ReadonlySet<string>>): string[] =>
  [...imports].filter(([, named]) => named.has(file)).map(([importer]) => importer);

/** Which files of the tree import which, by paths from the root. */
export function importsIn(
  root: string,
  folders: readonly string[],
): ReadonlyMap<string, ReadonlySet<string>> {
  const files = folders.flatMap((folder) => filesUnder(path.join(root, folder)));
  return new Map(files.map((file) => [path.relative(root, file), importedBy(root, file)]));
}

function importedBy(root: string, file: string): ReadonlySet<string> {
  const named = readFileSync(file, "utf8").matchAll(/from "(\.[^"]+)"/g);
  return new Set([...named].map(([, to = ""]) => path.relative(root, path.resolve(path.dirname(file), to))));
}

export const filesUnder = (folder: string): string[] =>
  readdirSync(folder).flatMap((name) => {
    const file = path.join(folder, name);
    if (statSync(file).isDirectory()) return filesUnder(file);
    return /\.tsx?$/.test(name) ? [file] : [];
  });
