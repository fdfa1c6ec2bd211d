import { type ChildProcess, spawn } from "node:child_process";
import { chmodSync, chownSync, copyFileSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import http from "node:http";
import type { AddressInfo } from "node:net";
import path from "node:path";
import { afterEach, describe, expect, it } from "vitest";
import { temporaryFolder } from "../support/bench.ts";
import { benchAt } from "../support/benchAt.ts";
import { madeTree } from "../support/madeTree.ts";
import { started } from "../support/program.ts";

const bundle = path.resolve(import.meta.dirname, "../../dist/server/attend.cjs");
const isRoot = process.getuid?.() === 0;
const nobody = 65_534;
const running: ChildProcess[] = [];
afterEach(() => {
  for (const child of running.splice(0)) child.kill("SIGKILL");
});

/** An empty folder with nothing but the one file, a spool, and made trees. */
function emptyFolder(milliAt = (moved: number): number => (moved % 40) * 110) {
  const folder = temporaryFolder();
  chmodSync(folder, 0o755);
  copyFileSync(bundle, path.join(folder, "attend.cjs"));
  const spool = path.join(folder, "spool");
  mkdirSync(spool, { mode: 0o700 });
  if (isRoot) chownSync(spool, nobody, nobody);
  const sysfs = madeTree({
    "class/hwmon/hwmon0/name": "tern_core",
    "class/hwmon/hwmon0/temp1_label": "Package",
    "class/hwmon/hwmon0/temp1_input": 61_500,
  });
  const proc = madeTree({ "sys/kernel/random/boot_id": "11111111-6c1e-4d5e-9f00-1234567890ab" });
  for (const tree of [sysfs, proc]) chmodSync(tree, 0o755);
  let moved = 0;
  const warming = setInterval(() => {
    moved += 1;
    madeTree({ "class/hwmon/hwmon0/temp1_input": 61_500 + milliAt(moved) }, sysfs);
  }, 250);
  warming.unref();
  return { folder, spool, sysfs, proc };
}

/** The attendant as anybody but root would start it. */
function attends(
  at: ReturnType<typeof emptyFolder>,
  server: string,
  flags: readonly string[],
  command: readonly string[],
) {
  const child = spawn(
    process.execPath,
    [
      ...[
        path.join(at.folder, "attend.cjs"),
        "--server",
        server,
        "--build",
        "Frame, Quay L",
        "--name",
        "bench-2",
      ],
      ...["--sysfs", at.sysfs, "--proc", at.proc, "--spool", at.spool, ...flags, "--", ...command],
    ],
    { cwd: at.folder, env: { PATH: process.env.PATH }, ...(isRoot && { uid: nobody, gid: nobody }) },
  );
  running.push(child);
  let said = "";
  for (const stream of [child.stdout, child.stderr])
    stream?.on("data", (text) => {
      said += text;
    });
  const ended = new Promise<number | null>((resolve) => child.on("exit", resolve));
  return { child, ended, said: () => said };
}

const until = async <Found>(look: () => Promise<Found | null | false>, mostS = 60): Promise<Found> => {
  for (let tries = 0; tries < 5 * mostS; tries++) {
    const found = await look();
    if (found !== null && found !== false) return found;
    await new Promise((resolve) => setTimeout(resolve, 200));
  }
  throw new Error(`It did not come about within ${mostS} s.`);
};

const isAlive = (pid: number): boolean => {
  try {
    process.kill(pid, 0);
    return !/^State:\s+Z/m.test(readFileSync(`/proc/${pid}/status`, "utf8"));
  } catch {
    return false;
  }
};

/** A load that prints its own id, and a line of new work ten times a second. */
const working = ["sh", "-c", "echo load $$; n=0; while :; do n=$((n+1)); echo block $n; sleep 0.1; done"];
const proved = ["--progress", "block (\\d+)"];

async function benchWith(kind: string) {
  const server = started(["--journal", path.join(temporaryFolder(), "j.db"), "--port", "0"]);
  const url = await server.address;
  const bench = await benchAt(url, { boards: ["Quay L"] });
  const load = await bench.made("/api/workloads", { name: "Drawing", kind });
  const arm = (plannedS: number) =>
    bench.made(`/api/builds/${bench.build}/attempts`, {
      ...{ workloadId: load, clockMhz: 4600, voltageMv: 1200, plannedS, outcome: "running" },
    });
  // biome-ignore lint/suspicious/noExplicitAny: an answer is read by the test that asked for it
  const attempt = async (id: string): Promise<any> => (await fetch(`${url}/api/attempts/${id}`)).json();
  const attendants = async () =>
    // biome-ignore lint/suspicious/noExplicitAny: an answer is read by the test that asked for it
    ((await (await fetch(`${url}/api/attendants`)).json()) as { items: any[] }).items;
  const loadOf = () =>
    until(async () => {
      const [one] = await attendants();
      const pid = /load (\d+)/.exec(one?.printing ?? "")?.[1];
      return pid === undefined ? null : Number(pid);
    });
  return { url, bench, arm, attempt, attendants, loadOf, server };
}

describe("the attendant, one file in an empty folder", () => {
  it("runs a real load to its time, tells a stop within a second, and a death once it is back", async () => {
    const { url, arm, attempt, loadOf } = await benchWith("graphics");
    const at = emptyFolder();
    const first = attends(at, url, proved, working);
    const passing = await arm(12);
    const passed = await until(async () => {
      const found = await attempt(passing);
      return found.outcome !== "running" && found;
    });
    expect(passed).toMatchObject({ outcome: "pass", durationS: 12, toldBy: "attendant", loadProved: true });
    const output = await (await fetch(`${url}/api/attempts/${passing}/output`)).json();
    expect((output as { output: string }).output).toContain("block 50");
    expect(first.said()).toContain("Reads temperature: tern_core");

    const stopping = await arm(600);
    const pid = await until(async () => {
      const found = await loadOf();
      return isAlive(found) && found;
    });
    const stoppedAt = Date.now();
    await fetch(`${url}/attempts/${stopping}/ending`, {
      method: "POST",
      redirect: "manual",
      headers: { "content-type": "application/x-www-form-urlencoded" },
      body: "outcome=stopped",
    });
    await until(async () => !isAlive(pid) && true, 5);
    // On a machine that has nothing else to do it takes half a second.
    expect(Date.now() - stoppedAt).toBeLessThan(3000);
    expect(await attempt(stopping)).toMatchObject({ outcome: "stopped", toldBy: null });

    // The attendant is killed, and its load dies with it; the next start is of another boot.
    const dying = await arm(600);
    const orphan = await until(async () => {
      const found = await loadOf();
      return found !== pid && isAlive(found) && found;
    });
    await until(async () => (await attempt(dying)).version > 1 && true);
    await new Promise((resolve) => setTimeout(resolve, 3000));
    first.child.kill("SIGKILL");
    await first.ended;
    await until(async () => !isAlive(orphan) && true, 20);
    madeTree({ "sys/kernel/random/boot_id": "22222222-6c1e-4d5e-9f00-1234567890ab" }, at.proc);
    const second = attends(at, url, proved, working);
    const died = await until(async () => {
      const found = await attempt(dying);
      return found.outcome !== "running" && found;
    });
    expect(died).toMatchObject({ outcome: "died", toldBy: "attendant" });
    expect(died.durationS).toBeGreaterThan(2);
    expect(second.said()).not.toContain("Runs Drawing");
    second.child.kill("SIGTERM");
    expect(await second.ended).toBe(0);
  }, 240_000);

  it("follows no redirect to another host, and neither tells it anything nor its passphrase", async () => {
    const heard: string[] = [];
    const elsewhere = http.createServer((request, reply) => {
      heard.push(`${request.url} ${request.headers.authorization}`);
      reply.end("{}");
    });
    const server = http.createServer((_, reply) => {
      const { port } = elsewhere.address() as AddressInfo;
      reply.writeHead(307, { location: `http://127.0.0.1:${port}/api/builds` }).end();
    });
    for (const one of [elsewhere, server])
      await new Promise<void>((done) => one.listen(0, "127.0.0.1", done));
    const at = emptyFolder();
    const words = path.join(at.folder, "words");
    writeFileSync(words, "four plain words here\n", { mode: 0o644 });
    const one = attends(
      at,
      `http://127.0.0.1:${(server.address() as AddressInfo).port}`,
      ["--passphrase-file", words],
      ["true"],
    );
    await until(async () => one.said().includes("not followed") && true);
    expect(one.said()).toContain(`Others can read ${words}`);
    one.child.kill("SIGKILL");
    await one.ended;
    expect(heard).toEqual([]);
    elsewhere.close();
    server.close();
  });

  it.runIf(isRoot)("refuses root, and a spool of another user", async () => {
    const run = (args: readonly string[], uid?: number) =>
      new Promise<string>((resolve) => {
        const child = spawn(process.execPath, [bundle, "attend", ...args], {
          ...(uid !== undefined && { uid, gid: uid }),
        });
        let said = "";
        child.stderr.on("data", (text) => {
          said += text;
        });
        child.on("close", (code) => resolve(`${code} ${said}`));
      });
    const usual = ["--server", "http://127.0.0.1:9", "--build", "x"];
    expect(await run([...usual, "--", "true"])).toMatch(/^2 .*as root/);
    const at = emptyFolder();
    chownSync(at.spool, 1234, 1234);
    const theirs = await run([...usual, "--spool", at.spool, "--", "true"], nobody);
    expect(theirs).toMatch(/^2 .*(another user|EACCES)/);
  });

  it("shows that heat ends the load, keeps that, and says so from then on", async () => {
    const { url, attendants } = await benchWith("all-core");
    const at = emptyFolder((moved) => 200 * Math.min(moved, 600));
    const trial = attends(at, url, ["--try-cut-out"], working);
    expect([await trial.ended, trial.said()]).toEqual([0, expect.stringContaining("Heat ended the load")]);
    const pid = Number(/load (\d+)/.exec(trial.said())?.[1] ?? Number.NaN);
    if (!Number.isNaN(pid)) expect(isAlive(pid)).toBe(false);
    attends(at, url, [], working);
    await until(async () => (await attendants())[0]?.cutOutTried === true);
  });

  it("is found under the package's own name, and says in a line what it lacks", async () => {
    const { code, err } = await started(["attend", "--server", "http://127.0.0.1:9"]).ended;
    expect([code, err]).toEqual([2, expect.stringContaining("Say which build")]);
    const units = await started([
      "attend",
      "--server",
      "http://a:1",
      "--build",
      "My build",
      "--unit",
      "--",
      "sh",
      "-c",
      "x $y 5%",
    ]).ended;
    expect(units.code).toBe(0);
    expect(units.out).toContain('--build "My build" -- sh -c "x $$y 5%%"');
    for (const line of [
      "KillMode=control-group",
      "WatchdogSec=30",
      "NotifyAccess=all",
      "RuntimeMaxSec=86400",
    ])
      expect(units.out).toContain(`${line}\n`);
    expect(units.out).not.toContain("--unit");
  });
});
