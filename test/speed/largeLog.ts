import { closeSync, createReadStream, mkdtempSync, openSync, rmSync, statSync, writeSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { importLog, type LogTaken } from "../../server/actions/importLog.ts";
import { usualLogLimits } from "../../server/bench/logs/logLimits.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import type { Journal } from "../../server/store/file/journal.ts";
import { root, theInstant } from "./journals.ts";

export const largeRows = 1_000_000;
const header =
  "Time,Package temp [°C],Supply temp [°C],Room temp [°C],Package power [W],Core voltage [V],Core clock [MHz],Fan [rpm],Load [%],Core 1 temp [°C],Core 2 temp [°C]";

let made: string | undefined;

/** A log of a million rows and ten channels, made once and taken away at the end. */
export function largeLog(): string {
  if (made !== undefined) return made;
  const folder = mkdtempSync(path.join(os.tmpdir(), "rungbook-log-"));
  process.on("exit", () => rmSync(folder, { recursive: true, force: true }));
  made = path.join(folder, "large.csv");
  const file = openSync(made, "w");
  writeSync(file, `${header}\n`);
  const row = rowMaker();
  let text = "";
  for (let at = 0; at < largeRows; at += 1) {
    text += row(at);
    if (text.length < 1_000_000 && at + 1 < largeRows) continue;
    writeSync(file, text);
    text = "";
  }
  closeSync(file);
  return made;
}

function rowMaker(): (at: number) => string {
  const random = seededRandom(7);
  const startMs = Date.UTC(2031, 4, 4, 13);
  let chip = 62;
  let supply = 55;
  let room = 22;
  return (at) => {
    chip += random.uniform() - 0.5 + (70 - chip) * 0.01;
    supply += (random.uniform() - 0.5) * 0.3 + (55 - supply) * 0.01;
    room += (random.uniform() - 0.5) * 0.05 + (22 - room) * 0.01;
    const stamp = new Date(startMs + at * 1000).toISOString().slice(0, 23).replace("T", " ");
    const cells = [
      stamp,
      chip.toFixed(1),
      supply.toFixed(1),
      room.toFixed(2),
      (142 + random.uniform() * 6).toFixed(2),
      (1.18 + random.uniform() * 0.01).toFixed(3),
      random.uniform() < 0.02 ? "4675.0" : "4700.0",
      Math.round(1400 + random.uniform() * 20),
      (99 + random.uniform()).toFixed(1),
      (chip - random.uniform() * 3).toFixed(1),
      (chip - random.uniform() * 4).toFixed(1),
    ];
    return `${cells.join(",")}\n`;
  };
}

export const largeBytes = (): number => statSync(largeLog()).size;

const worker = path.join(root, "dist", "server", "workers", "logImport.cjs");

/** The log, read by the built worker and kept with an attempt of a journal that has none. */
export async function importedInto(journal: Journal): Promise<LogTaken & { attemptId: string }> {
  const attemptId = untracedAttemptOf(journal);
  const migrations = path.join(root, "migrations");
  const taken = await importLog(worker, {
    source: createReadStream(largeLog(), { highWaterMark: 262_144 }),
    limits: usualLogLimits,
    keep: { journalFile: journal.file, migrations, attemptId, now: theInstant },
    matchesFor: (_names, proposal) => proposal,
  });
  if (taken.log.rows !== largeRows) throw new Error(`${taken.log.rows} rows were read.`);
  return { ...taken, attemptId };
}

export function untracedAttemptOf(journal: Journal): string {
  const row = journal.db.$client.prepare("SELECT id FROM attempts WHERE NOT traced LIMIT 1").get();
  if (row === undefined) throw new Error("Every attempt has a log.");
  return (row as { id: string }).id;
}
