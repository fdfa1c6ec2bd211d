import { spawn } from "node:child_process";
import { cpSync, existsSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { parseArgs } from "node:util";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { type Covering, coveringTests, ranIn, type TestRan } from "./coveringTests.ts";
import { equivalents } from "./equivalents.ts";
import { type Mutant, mutantsIn, mutated } from "./mutants.ts";
import { filesUnder, importsIn, nearestTests, quickTests } from "./nearestTests.ts";

const root = path.join(import.meta.dirname, "..", "..");
const usualRooms = ["server/bench", "server/store", "server/actions", "server/csv", "server/guard.ts"];
const mostSurvivors = 0.15;
const patienceMs = 600_000;

const { values } = parseArgs({
  options: {
    room: { type: "string", multiple: true },
    count: { type: "string", default: "300" },
    seed: { type: "string", default: "1" },
    /** To go on with a draw where it was stopped. */
    from: { type: "string", default: "1" },
    /** A file in which what the tests run is kept; those it does not name are counted and added to it. */
    ran: { type: "string" },
  },
});

const sourcesOf = (room: string): string[] =>
  (room.endsWith(".ts") ? [path.join(root, room)] : filesUnder(path.join(root, room))).map((file) =>
    path.relative(root, file),
  );

const textOf = (file: string): string => readFileSync(path.join(root, file), "utf8");

function drawn(all: readonly Mutant[], count: number, seed: number): readonly Mutant[] {
  const random = seededRandom(seed);
  const left = [...all];
  return Array.from({ length: Math.min(count, all.length) }, () => {
    const at = random.index(left.length);
    return left.splice(at, 1)[0] as Mutant;
  });
}

const isEquivalent = (mutant: Mutant): boolean => {
  const text = textOf(mutant.file);
  const [before, after] = [text, mutated(text, mutant)].map(
    (of) => of.split("\n")[mutant.line - 1]?.trim() ?? "",
  );
  return equivalents.some(
    ({ file, line, becomes }) => file === mutant.file && line === before && becomes === after,
  );
};

/** The tree beside the real one, so that nobody meets a broken line who is not looking for it. */
function copyOfTree(): string {
  const copy = mkdtempSync(path.join(tmpdir(), "rungbook-mutate-"));
  for (const name of [
    "server",
    "web",
    "test",
    "migrations",
    "package.json",
    "package-lock.json",
    "tsconfig.json",
    "vitest.config.ts",
  ])
    cpSync(path.join(root, name), path.join(copy, name), { recursive: true });
  symlinkSync(path.join(root, "node_modules"), path.join(copy, "node_modules"));
  return copy;
}

/** So many of the nearest tests are asked before the others: most changes are caught by these, and they are quick. */
const askedFirst = 2;

async function isCaught(copy: string, { inTime, late }: Covering): Promise<boolean> {
  const [near, others] = [inTime.slice(0, askedFirst), inTime.slice(askedFirst)];
  return (await areFailing(copy, near)) || (await areFailing(copy, others)) || (await areFailing(copy, late));
}

/** Whether one of the tests given fails; hanging counts as failing. */
const areFailing = async (copy: string, tests: readonly string[]): Promise<boolean> =>
  tests.length > 0 &&
  (await ran(copy, ["--bail=1", "--retry=0", "--reporter=dot", ...tests], patienceMs)) !== 0;

function ran(copy: string, args: readonly string[], patience?: number): Promise<number | null> {
  const env = { ...process.env, JOURNEYS: "none" };
  const vitest = path.join(copy, "node_modules/.bin/vitest");
  const run = spawn(vitest, ["run", ...args], { cwd: copy, stdio: "ignore", env, detached: true });
  // Its processes too: one of them may go round for ever.
  const end = () => run.pid && process.kill(-run.pid, "SIGKILL");
  const giveUp = patience && setTimeout(end, patience);
  return new Promise((done) =>
    run.once("close", (code) => {
      clearTimeout(giveUp);
      done(code);
    }),
  );
}

async function ranAsKept(copy: string): Promise<readonly TestRan[]> {
  const [file, tests] = [values.ran, quickTests(copy)];
  const kept: readonly TestRan[] =
    file !== undefined && existsSync(file) ? JSON.parse(readFileSync(file, "utf8")) : [];
  const standing = kept.filter(({ test }) => tests.includes(test));
  const missing = tests.filter((test) => !standing.some((one) => one.test === test));
  const all = missing.length === 0 ? standing : [...standing, ...(await whatRanIn(copy, missing))];
  if (file !== undefined) writeFileSync(file, JSON.stringify(all));
  return all;
}

/** What each of these test files runs that passes in the copy as it is: one that fails there anyhow would seem to catch everything. */
async function whatRanIn(copy: string, tests: readonly string[]): Promise<readonly TestRan[]> {
  const report = path.join(copy, "report.json");
  const folder = path.join(copy, "what-ran");
  const watched = ["--config", "test/mutate/watched.config.ts", "--root", "."];
  const telling = ["--reporter=json", `--outputFile=${report}`];
  process.env.WHAT_RAN = folder;
  await ran(copy, [...watched, ...telling, ...tests]);
  const { testResults } = JSON.parse(readFileSync(report, "utf8")) as {
    testResults: readonly Readonly<{ name: string; status: string; startTime: number; endTime: number }>[];
  };
  const passed = testResults.filter(({ status }) => status === "passed");
  const took = passed.map(
    ({ name, startTime, endTime }) => [path.relative(copy, name), endTime - startTime] as const,
  );
  return ranIn(folder, new Map(took));
}

async function main(): Promise<void> {
  const rooms = values.room ?? usualRooms;
  const all = rooms.flatMap(sourcesOf).flatMap((file) => mutantsIn(file, textOf(file)));
  const chosen = drawn(all, Number(values.count), Number(values.seed)).filter((one) => !isEquivalent(one));
  const imports = importsIn(root, ["server", "test"]);
  const copy = copyOfTree();
  const survivors: Mutant[] = [];
  try {
    const whatRan = await ranAsKept(copy);
    if (whatRan.length === 0)
      throw new Error("No test passes in the copy of the tree, so none could catch a change.");
    for (const [at, mutant] of chosen.entries()) {
      if (at + 1 < Number(values.from)) continue;
      const tests = coveringTests(mutant, whatRan, nearestTests(root, mutant.file, imports));
      const target = path.join(copy, mutant.file);
      writeFileSync(target, mutated(textOf(mutant.file), mutant));
      const caught = await isCaught(copy, tests);
      writeFileSync(target, textOf(mutant.file));
      if (!caught) survivors.push(mutant);
      console.log(`${at + 1}/${chosen.length} ${caught ? "caught  " : "SURVIVED"} ${inWords(mutant)}`);
    }
  } finally {
    rmSync(copy, { recursive: true, force: true });
  }
  const tried = chosen.length - (Number(values.from) - 1);
  console.log(`\n${survivors.length} of ${tried} survived, drawn by seed ${values.seed} from ${all.length}:`);
  for (const one of survivors) console.log(`  ${inWords(one)}`);
  if (survivors.length > mostSurvivors * tried) process.exitCode = 1;
}

const inWords = ({ file, line, was, becomes }: Mutant): string =>
  `${file}:${line}  ${was.replace(/\s+/g, " ").slice(0, 60)}  ->  ${becomes.replace(/\s+/g, " ").slice(0, 70)}`;

await main();
