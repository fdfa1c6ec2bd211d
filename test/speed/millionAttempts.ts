import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { journalIn } from "./journals.ts";
import { atMost, type Measured, type Measurement, median } from "./measurement.ts";
import { type Program, programOn } from "./server.ts";

/** Two hundred builds of one chip, with a million attempts and with a thousand. */
type Sized = Readonly<{ program: Program; builds: readonly string[]; loadId: string }>;

let both: Promise<readonly [large: Sized, small: Sized]> | undefined;

/** Both are made once, and go when the measuring ends. */
function bothSizes(): Promise<readonly [Sized, Sized]> {
  both ??= Promise.all([sized(1_000_000), sized(1_000)]);
  return both;
}

async function sized(attempts: number): Promise<Sized> {
  const folder = mkdtempSync(path.join(os.tmpdir(), "rungbook-speed-"));
  process.on("exit", () => rmSync(folder, { recursive: true, force: true }));
  const until = new Date().toISOString(); // what is written while it is measured comes after all that is there
  const journal = journalIn(folder, { builds: 200, attempts, seed: 1, until });
  const builds = journal.builds.all().map(({ id }) => id);
  const loadId = journal.workloads.all()[0]?.id ?? "";
  const { file } = journal;
  journal.close();
  const program = await programOn(file);
  process.on("exit", () => program.kill());
  return { program, builds, loadId };
}

/** Time for what a commit set going behind the pages to end, and the most that is given a page that still lacks something. */
const settlingMs = 4000;
const mostSettlingMs = 40_000;

/** Looks at a page until it lacks nothing: what it does, it asks for by itself. */
async function settled({ program }: Sized, page: string): Promise<void> {
  for (let waited = 0; waited < mostSettlingMs; waited += settlingMs) {
    await pause(settlingMs);
    const html = await (await fetch(program.address + page)).text();
    if (!html.includes("data-later")) return;
  }
}

/** Milliseconds for a page, asked for once something it tells of was written; the median of five. */
async function afterCommit(sized: Sized, page: string): Promise<number> {
  const { program, builds, loadId } = sized;
  const took: number[] = [];
  for (let round = 0; round < 5; round += 1) {
    await settled(sized, page);
    const run = { workloadId: loadId, clockMhz: 4500, voltageMv: 1200, outcome: "pass", durationS: 900 };
    const kept = await fetch(`${program.address}/api/builds/${builds[0]}/attempts`, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify(run),
    });
    if (kept.status !== 201) throw new Error(await kept.text());
    const startedAt = performance.now();
    const answer = await fetch(program.address + page);
    await answer.text();
    if (answer.status !== 200) throw new Error(`${page} was not served.`);
    took.push(performance.now() - startedAt);
  }
  return median(took);
}

const pages: Readonly<Record<string, (builds: readonly string[]) => string>> = {
  bench: ([build]) => `/?build=${build}`,
  builds: () => "/builds",
  build: ([build]) => `/builds/${build}`,
  comparison: ([a, b]) => `/compare?a=${a}&b=${b}`,
  changes: () => "/changes",
  journal: () => "/journal",
};

const pageOf = ([name, address]: [string, (builds: readonly string[]) => string]): Measurement => ({
  name: `a million: ${name}`,
  goal: "with a million attempts of 200 builds, after a commit, at most 3 x what it takes with 1,000",
  run: async (): Promise<Measured> => {
    const [large, small] = await bothSizes();
    const page = address(large.builds);
    await fetch(large.program.address + page);
    const ours = await afterCommit(large, page);
    const reference = await afterCommit(small, address(small.builds));
    return atMost({ ours, reference, ratio: ours / reference }, "ms", 3);
  },
});

/** Long enough for what the pages set going to be fitted, and for threads without work to be ended. */
const restMs = 240_000;

/** The last of these: both programs end with it, and nothing measured later shares the machine with them. */
const memoryAtRest: Measurement = {
  name: "a million: memory",
  goal: "once its pages were walked and it rests, the program holds at most 300 MB",
  run: async () => {
    const [{ program, builds }, small] = await bothSizes();
    for (const address of Object.values(pages)) await (await fetch(program.address + address(builds))).text();
    await pause(restMs);
    const [, kib = ""] =
      /^VmRSS:\s+(\d+) kB/m.exec(readFileSync(`/proc/${program.pid}/status`, "utf8")) ?? [];
    await Promise.all([program.end(), small.program.end()]);
    const ours = (Number(kib) * 1024) / 1e6;
    return { ours, reference: 300, unit: "MB", ratio: ours / 300, limit: 1, met: ours <= 300 };
  },
};

export const measurements: readonly Measurement[] = [...Object.entries(pages).map(pageOf), memoryAtRest];
