import { mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import path from "node:path";
import Database from "better-sqlite3";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";

const kinds = ["name", "write", "sync", "truncate", "unlink"] as const;
type Step = { kind: (typeof kinds)[number]; name: string; offset: number; bytes: Buffer };

/** What the recorder wrote down, in order; names relative to the folder. */
export function stepsIn(log: string, folder: string): Step[] {
  const bytes = readFileSync(log);
  const names = new Map<number, string>();
  const steps: Step[] = [];
  for (let at = 0; at < bytes.length; ) {
    const kind = kinds[bytes.readUInt32LE(at)] ?? "name";
    const file = bytes.readUInt32LE(at + 4);
    const offset = Number(bytes.readBigUInt64LE(at + 8));
    const length = Number(bytes.readBigUInt64LE(at + 16));
    const payload = bytes.subarray(at + 24, at + 24 + length);
    at += 24 + length;
    if (kind === "name") names.set(file, path.relative(folder, payload.toString()));
    else steps.push({ kind, name: names.get(file) ?? "", offset, bytes: payload });
  }
  return steps;
}

type Disk = Map<string, { safe: Buffer; unsynced: Step[] }>;
const modes = ["drop", "keep", "mix"] as const;

export type Findings = { states: number; broken: string[]; lost: number };

/**
 * Cuts the power after steps all along the record. What was synced is there; what was not is dropped, kept, or kept at
 * random and torn at 512 bytes. Each state is opened as the next start would, and asked whether it is whole and
 * whether every acknowledged attempt is in it.
 */
export function findingsAfterCuts(
  steps: readonly Step[],
  scratch: string,
  cuts: number,
  seed: number,
): Findings {
  const random = seededRandom(seed);
  const disk: Disk = new Map();
  const findings: Findings = { states: 0, broken: [], lost: 0 };
  const every = Math.max(1, Math.floor(steps.length / cuts));
  let acknowledged = 0;
  steps.forEach((step, i) => {
    if (step.name === "acknowledged") acknowledged += step.kind === "write" ? 1 : 0;
    else if (!step.name.endsWith("-shm")) applyToDisk(disk, step);
    if (i % every !== 0) return;
    for (const mode of modes) {
      layOut(disk, mode, scratch, random.uniform);
      inspect(scratch, acknowledged, `${mode} after step ${i}`, findings);
    }
  });
  return findings;
}

function applyToDisk(disk: Disk, step: Step): void {
  if (step.kind === "unlink") {
    disk.delete(step.name);
    return;
  }
  const file = disk.get(step.name) ?? { safe: Buffer.alloc(0), unsynced: [] };
  disk.set(step.name, file);
  if (step.kind !== "sync") file.unsynced.push(step);
  else {
    file.safe = file.unsynced.reduce(changed, file.safe);
    file.unsynced = [];
  }
}

function changed(content: Buffer, { kind, offset, bytes }: Step): Buffer {
  if (kind === "truncate" && offset <= content.length) return Buffer.from(content.subarray(0, offset));
  const end = Math.max(content.length, offset + (kind === "truncate" ? 0 : bytes.length));
  const grown = Buffer.alloc(end);
  content.copy(grown);
  if (kind === "write") bytes.copy(grown, offset);
  return grown;
}

function layOut(disk: Disk, mode: (typeof modes)[number], scratch: string, uniform: () => number): void {
  rmSync(scratch, { recursive: true, force: true });
  mkdirSync(scratch);
  for (const [name, { safe, unsynced }] of disk) {
    const kept = mode === "drop" ? [] : mode === "keep" ? unsynced : unsynced.filter(() => uniform() < 0.5);
    const landed =
      mode === "mix" ? kept.map((step) => (uniform() < 0.3 ? torn(step, uniform()) : step)) : kept;
    const content = landed.reduce(changed, safe);
    if (content.length > 0) writeFileSync(path.join(scratch, name), content);
  }
}

const torn = (step: Step, share: number): Step => ({
  ...step,
  bytes: step.bytes.subarray(0, Math.floor((share * step.bytes.length) / 512) * 512),
});

function inspect(scratch: string, acknowledged: number, where: string, findings: Findings): void {
  findings.states += 1;
  if (!readdirSync(scratch).includes("journal.db")) {
    if (acknowledged > 0) findings.lost += 1;
    return;
  }
  try {
    const client = new Database(path.join(scratch, "journal.db"));
    const whole = client.pragma("integrity_check", { simple: true });
    const kept = attemptsIn(client);
    client.close();
    if (whole !== "ok") findings.broken.push(`${where}: ${whole}`);
    if (kept < acknowledged) findings.lost += 1;
  } catch (error) {
    findings.broken.push(`${where}: ${(error as Error).message}`);
  }
}

function attemptsIn(client: Database.Database): number {
  const table = client.prepare("SELECT 1 FROM sqlite_schema WHERE name = 'attempts'").get();
  return table ? (client.prepare("SELECT count(*) AS n FROM attempts").get() as { n: number }).n : 0;
}
