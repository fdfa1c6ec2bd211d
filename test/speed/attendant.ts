import { type ChildProcess, spawn } from "node:child_process";
import { chmodSync, chownSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import path from "node:path";
import { inFolder, root } from "./journals.ts";
import type { Measured, Measurement } from "./measurement.ts";

/** Kernel time in /proc is counted in hundredths of a second (proc(5)). */
const ticksPerS = 100;
const watchedS = 40;
const nobody = 65_534;
const sensors = 24;

/** Sensors, clocks and fans of a machine with much to read. */
function madeMachine(folder: string): string {
  const sysfs = path.join(folder, "sys");
  const put = (name: string, text: string | number): void => {
    mkdirSync(path.dirname(path.join(sysfs, name)), { recursive: true });
    writeFileSync(path.join(sysfs, name), `${text}\n`);
  };
  put("class/hwmon/hwmon0/name", "tern_core");
  for (let i = 1; i <= sensors; i++) put(`class/hwmon/hwmon0/temp${i}_input`, 60_000 + 10 * i);
  for (let i = 1; i <= 6; i++) put(`class/hwmon/hwmon0/fan${i}_input`, 900 + i);
  for (let i = 0; i < 16; i++) put(`devices/system/cpu/cpu${i}/cpufreq/scaling_cur_freq`, 4_575_000);
  return sysfs;
}

const cpuTicks = (pid: number): number => {
  const text = readFileSync(`/proc/${pid}/stat`, "utf8");
  const fields = text.slice(text.lastIndexOf(")") + 2).split(" ");
  return Number(fields[11]) + Number(fields[12]);
};

const residentMb = (pid: number): number =>
  Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${pid}/status`, "utf8"))?.[1]) / 1024;

const wait = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

/** An attendant that attends a run, watched for a while after it has got going. */
async function watched(folder: string): Promise<{ share: number; mb: number }> {
  const sysfs = madeMachine(folder);
  const children: ChildProcess[] = [];
  try {
    const server = spawn(
      process.execPath,
      [path.join(root, "dist/server/main.js"), "--port", "0", "--journal", path.join(folder, "j.db")],
      { stdio: ["ignore", "pipe", "inherit"] },
    );
    children.push(server);
    const url = await new Promise<string>((resolve) =>
      server.stdout.on("data", (text) => {
        const [, found] = /^Listening on (http:\S+)/m.exec(String(text)) ?? [];
        if (found) resolve(found);
      }),
    );
    const made = async (address: string, body: object): Promise<string> => {
      const headers = { "content-type": "application/json" };
      const answer = await fetch(url + address, { method: "POST", headers, body: JSON.stringify(body) });
      return ((await answer.json()) as { id: string }).id;
    };
    const chipId = await made("/api/chips", { name: "Tern 8", kind: "cpu", tempLimitC: 95 });
    const boardId = await made("/api/boards", { name: "Quay L" });
    const buildId = await made("/api/builds", { name: "Frame", chipId, boardId });
    const workloadId = await made("/api/workloads", { name: "Drawing", kind: "graphics" });
    await made(`/api/builds/${buildId}/attempts`, {
      ...{ workloadId, clockMhz: 4600, voltageMv: 1200, plannedS: 3600, outcome: "running" },
    });
    const spool = path.join(folder, "spool");
    mkdirSync(spool, { mode: 0o700 });
    chmodSync(folder, 0o755);
    const isRoot = process.getuid?.() === 0;
    if (isRoot) chownSync(spool, nobody, nobody);
    const attendant = spawn(
      process.execPath,
      [
        ...[path.join(root, "dist/server/attend.cjs"), "--server", url, "--build", buildId],
        ...["--sysfs", sysfs, "--spool", spool, "--progress", "."],
        ...["--", "sh", "-c", "while :; do echo x; sleep 1; done"],
      ],
      { stdio: "ignore", ...(isRoot && { uid: nobody, gid: nobody }) },
    );
    children.push(attendant);
    const pid = attendant.pid ?? 0;
    await wait(15_000);
    const [ticks, beganAt] = [cpuTicks(pid), performance.now()];
    await wait(watchedS * 1000);
    const share = (cpuTicks(pid) - ticks) / ticksPerS / ((performance.now() - beganAt) / 1000);
    return { share: 100 * share, mb: residentMb(pid) };
  } finally {
    for (const child of children.reverse()) {
      child.kill("SIGTERM");
      await wait(1500);
      child.kill("SIGKILL");
    }
  }
}

let once: Promise<{ share: number; mb: number }> | null = null;
const found = (): Promise<{ share: number; mb: number }> => {
  once ??= inFolder(watched);
  return once;
};

const beside = (ours: number, reference: number, unit: string): Measured => ({
  ...{ ours, reference, unit, ratio: ours / reference, limit: 1, met: ours <= reference },
});

export const measurements: readonly Measurement[] = [
  {
    name: "attendant's own load",
    goal: "under 1 % of one core while it attends",
    run: async () => beside((await found()).share, 1, "%"),
  },
  {
    name: "attendant's memory",
    goal: "at most 60 MB while it attends",
    run: async () => beside((await found()).mb, 60, "MB"),
  },
];
