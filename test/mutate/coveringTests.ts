import { readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import type { Mutant } from "./mutants.ts";

/** What one test file ran, by source file the names of functions, and how long it took in milliseconds. */
export type TestRan = Readonly<{
  test: string;
  ran: Readonly<Record<string, readonly string[]>>;
  tookMs: number;
}>;

/** So many test files are asked about one change, and for so long in all where more than one is. */
const mostFiles = 8;
const longestMs = 60_000;

/** What `whatRan.ts` wrote into a folder, of the test files that passed. */
export function ranIn(folder: string, passed: ReadonlyMap<string, number>): readonly TestRan[] {
  return readdirSync(folder).flatMap((name) => {
    const one = JSON.parse(readFileSync(path.join(folder, name), "utf8")) as Omit<TestRan, "tookMs">;
    const tookMs = passed.get(one.test);
    return tookMs === undefined ? [] : [{ ...one, tookMs }];
  });
}

/**
 * The test files that run the function a change stands in, or any of its file where it stands in none: those `nearest`
 * first, then those that run least else, which say most of it. Where none does (a thread of its own runs it), those nearest that passed.
 */
export function coveringTests(
  { file, within }: Pick<Mutant, "file" | "within">,
  all: readonly TestRan[],
  nearest: readonly string[],
): readonly string[] {
  const of = ({ ran }: TestRan): readonly string[] => ran[file] ?? [];
  const known = within.find((name) => all.some((one) => of(one).includes(name)));
  const covering = all.filter((one) => (known === undefined ? of(one).length > 0 : of(one).includes(known)));
  const passed = nearest.filter((test) => all.some((one) => one.test === test));
  return covering.length === 0 ? passed : chosen(covering, nearest);
}

const reachOf = ({ ran }: TestRan): number =>
  Object.values(ran).reduce((total, names) => total + names.length, 0);

function chosen(covering: readonly TestRan[], nearest: readonly string[]): readonly string[] {
  const rank = ({ test }: TestRan): number => {
    const at = nearest.indexOf(test);
    return at < 0 ? nearest.length : at;
  };
  const ordered = [...covering]
    .sort((a, b) => rank(a) - rank(b) || reachOf(a) - reachOf(b))
    .slice(0, mostFiles);
  let spentMs = 0;
  return ordered
    .filter(({ tookMs }, at) => {
      spentMs += tookMs;
      return at === 0 || spentMs <= longestMs;
    })
    .map(({ test }) => test);
}
