import { spawn } from "node:child_process";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { readingFault } from "../csv/mutatedLogs.ts";
import { readLog } from "../csv/readLog.ts";

/**
 * Spoiled logs give sound rows or a refusal, never a fault, and never keep anybody waiting: `--logs N` of them, from
 * `--seed N` on. They are read in a process of their own; one that says nothing for half a minute hangs.
 */
const { values } = parseArgs({
  options: {
    logs: { type: "string", default: "50000" },
    seed: { type: "string", default: "1" },
    here: { type: "boolean", default: false },
  },
});
const [logs, first] = [Number(values.logs), Number(values.seed)];
const between = 200;
const hangsAfterMs = 30_000;
const slowMs = 1000;

if (values.here) await readHere();
else await readBeside();

async function readHere(): Promise<void> {
  const found = { read: 0, refused: 0, slowest: 0, faults: [] as string[] };
  for (let seed = first; seed < first + logs; seed += 1) {
    if ((seed - first) % between === 0) console.log(JSON.stringify({ seed }));
    const startedAt = performance.now();
    let isRead = false;
    const fault = await readingFault(seed, async (log, pieceBytes) => {
      const rows = await readLog(log, { pieceBytes });
      isRead = true;
      return rows;
    });
    const tookMs = performance.now() - startedAt;
    found.slowest = Math.max(found.slowest, tookMs);
    if (isRead) found.read += 1;
    else if (fault === undefined) found.refused += 1;
    if (fault !== undefined) found.faults.push(`seed ${seed}: ${fault}`);
    else if (tookMs > slowMs) found.faults.push(`seed ${seed}: ${Math.round(tookMs)} ms`);
  }
  console.log(JSON.stringify(found));
}

async function readBeside(): Promise<void> {
  const own = [fileURLToPath(import.meta.url), "--here", "--logs", String(logs), "--seed", String(first)];
  const child = spawn(process.execPath, [...process.execArgv, ...own], {
    stdio: ["ignore", "pipe", "inherit"],
  });
  let last = "";
  let waiting = setTimeout(() => child.kill("SIGKILL"), hangsAfterMs);
  child.stdout.on("data", (piece: Buffer) => {
    last = String(piece).trim().split("\n").at(-1) ?? last;
    clearTimeout(waiting);
    waiting = setTimeout(() => child.kill("SIGKILL"), hangsAfterMs);
  });
  const code = await new Promise<number | null>((resolve) => child.once("exit", resolve));
  clearTimeout(waiting);
  if (code !== 0) {
    console.log(`Fell over or hung between this seed and ${between} on: ${last}`);
    process.exitCode = 1;
    return;
  }
  const { read, refused, slowest, faults } = JSON.parse(last) as {
    read: number;
    refused: number;
    slowest: number;
    faults: string[];
  };
  console.log(
    `${logs} spoiled logs from seed ${first}: ${read} read, ${refused} refused, ${faults.length} faults, the slowest ${Math.round(slowest)} ms`,
  );
  for (const fault of faults.slice(0, 20)) console.log(fault);
  if (faults.length > 0 || read < 0.3 * logs) process.exitCode = 1;
}
