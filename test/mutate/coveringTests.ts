import { readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import type { Mutant } from "./mutants.ts";

/** What one test file ran, by source file the names of functions, and how long it took in milliseconds. */
export type TestRan = Readonly<{
  test: string;
  ran: Readonly<Record<string, readonly string[]>>;
  tookMs: number;
}>;

/** So long, as they took beside one another, the test files may take that are asked about one change, where they are more than one. */
const longestMs = 60_000;

/** What `whatRan.ts` wrote into a folder, of the test files that passed. */
export function ranIn(folder: string, passed: ReadonlyMap<string, number>): readonly TestRan[] {
  return readdirSync(folder).flatMap((name) => {
    const one = JSON.parse(readFileSync(path.join(folder, name), "utf8")) as Omit<TestRan, "tookMs">;
    const tookMs = passed.get(one.test);
    return tookMs === undefined ? [] : [{ ...one, tookMs }];
  });
}

/** Those there is time for, and the held answers there was none for: slow, and the likeliest to notice all the same. */
export type Covering = Readonly<{ inTime: readonly string[]; late: readonly string[] }>;

/**
 * The test files that run the function a change stands in, or any of its file where it stands in none: those `nearest`
 * first, then the quickest, and at last the nearest of all, which may run it in a thread of its own, as many as there is time
 * for. Where none is known to run it, those nearest that passed.
 */
export function coveringTests(
  { file, within }: Pick<Mutant, "file" | "within">,
  all: readonly TestRan[],
  nearest: readonly string[],
): Covering {
  const of = ({ ran }: TestRan): readonly string[] => ran[file] ?? [];
  const known = within.find((name) => all.some((one) => of(one).includes(name)));
  const covering = all.filter((one) => (known === undefined ? of(one).length > 0 : of(one).includes(known)));
  const passed = nearest.filter((test) => all.some((one) => one.test === test));
  if (covering.length === 0) return { inTime: passed, late: [] };
  const unseen = all.filter((one) => one.test === passed[0] && !covering.includes(one));
  const inTime = asFit([...ordered(covering, nearest), ...unseen]);
  const left = ordered(covering, nearest).map(({ test }) => test);
  return { inTime, late: left.filter((test) => isHeld(test) && !inTime.includes(test)) };
}

/** Whether a test holds what was answered before to the digit. */
const isHeld = (test: string): boolean => test.startsWith(path.join("test", "unchanged"));

function ordered(covering: readonly TestRan[], nearest: readonly string[]): readonly TestRan[] {
  const rank = ({ test }: TestRan): number => {
    const at = nearest.indexOf(test);
    return at < 0 ? nearest.length : at;
  };
  return [...covering].sort((a, b) => rank(a) - rank(b) || a.tookMs - b.tookMs);
}

function asFit(inOrder: readonly TestRan[]): readonly string[] {
  const tests: string[] = [];
  let spentMs = 0;
  for (const { test, tookMs } of inOrder) {
    if (tests.length > 0 && spentMs + tookMs > longestMs) continue;
    spentMs += tookMs;
    tests.push(test);
  }
  return tests;
}
