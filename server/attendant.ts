import { type ChildProcess, spawn } from "node:child_process";
import { mkdirSync, readFileSync, statSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { attendantOf, type Machine } from "./attend/attendant.ts";
import { asksForHelp, attendHelp } from "./attend/attendHelp.ts";
import { type AttendSettings, attendSettings } from "./attend/attendSettings.ts";
import { buildNamed } from "./attend/buildNamed.ts";
import { forgetCutOut, keepCutOut, tryCutOut } from "./attend/cutOut.ts";
import { httpTransport } from "./attend/httpTransport.ts";
import { endOrphans, startOwnLoad } from "./attend/ownLoad.ts";
import { ownSensors } from "./attend/ownSensors.ts";
import type { MachineReader } from "./attend/reading.ts";
import { recordOfDeath } from "./attend/recordOfDeath.ts";
import { type SpoolDisk, spoolDisk } from "./attend/spoolDisk.ts";
import type { Transport } from "./attend/transport.ts";
import { unitFilesFor } from "./attend/units.ts";
import { aliveTeller, withoutManager } from "./attend/watchdog.ts";
import { bootIdIn, memoryKills, uptimeS } from "./kernel/boot.ts";
import { processorTimes } from "./kernel/clocks.ts";
import { kernelWords } from "./kernel/kernelWords.ts";

const realProc = "/proc";
const nowS = (): number => performance.now() / 1000;
const wait = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

function say(words: string): void {
  console.log(words);
}

async function attend(): Promise<void> {
  // Also as a file of its own, copied to where nothing else of the package is.
  const args = process.argv.slice(process.argv[2] === "attend" ? 3 : 2);
  if (asksForHelp(args)) return say(attendHelp);
  const settings = attendSettings(args);
  if (settings.unit) {
    say(unitFilesFor(process.execPath, process.argv));
    return;
  }
  if (process.getuid?.() === 0)
    throw new Error("An attendant does not run as root: its load needs no more rights than a user has.");
  const disk = spoolDisk(spoolFolder(settings), process.getuid?.() ?? null, say);
  const send = httpTransport({ server: settings.server, passphrase: passphraseIn(settings), complain: say });
  warnOfSameMachine(settings);
  const build = await buildFound(settings, send);
  const machine = await machineOf(settings, build.chipKind);
  for (const what of machine.readings.canRead) say(`Reads ${what}.`);
  for (const what of machine.readings.cannotRead) say(`Cannot read ${what}.`);
  if (settings.tryCutOut) return tryItsCutOut(machine, disk);
  const attendant = attendantOf({
    name: settings.name ?? os.hostname(),
    buildId: build.id,
    server: settings.server.origin,
    wanted: settings,
    ...{ machine, disk, send, say },
  });
  const awake = keptAwake();
  const tellAlive = aliveTeller(process.env, nowS);
  leaveOnSignals(attendant.leave);
  say(`Attends ${build.name} at ${settings.server.origin}.`);
  while (!attendant.isDone()) {
    const beganS = nowS();
    attendant.second();
    tellAlive();
    void attendant.deliver();
    void attendant.hail();
    // A stop on the page is heard within a second, whatever the network adds.
    if (attendant.isRunning()) {
      await wait(450);
      void attendant.hail();
    }
    await wait(Math.max(50, 1000 * (beganS + 1 - nowS())));
  }
  await Promise.race([attendant.hail().then(attendant.deliver), wait(3000)]);
  awake?.kill();
}

/** Throws an Error with what was found where heat would not end a load. */
async function tryItsCutOut(machine: Machine, disk: SpoolDisk): Promise<void> {
  say("Warms the chip by a few degrees with your load, and sees whether heat ends it.");
  forgetCutOut(disk);
  const { works, words } = await tryCutOut({ ...machine, wait: () => wait(1000) });
  if (!works) throw new Error(words);
  keepCutOut(disk, new Date().toISOString());
  say(words);
}

/** Until the server is there: at its first start it has to say which build is meant. */
async function buildFound(settings: AttendSettings, send: Transport) {
  for (;;) {
    const build = await buildNamed(settings.build, send).catch((error: Error & { isRefusal?: true }) => {
      if (error.isRefusal) throw error;
      return null;
    });
    if (build !== null) return build;
    await wait(2000);
  }
}

async function machineOf(settings: AttendSettings, chip: "cpu" | "gpu" | "memory"): Promise<Machine> {
  const { proc, sysfs, command, reader } = settings;
  const readings = await readingsFor(settings, chip);
  const bootId = bootIdIn(proc);
  if (bootId === null)
    say("This system tells no boot id: after a death it is known only that the attendant was away.");
  const asleepAtStart = (uptimeS(realProc) ?? 0) - nowS();
  return {
    bootId: bootId ?? `started-${Math.round(Date.now() / 1000 - os.uptime())}`,
    processors: Math.max(1, processorTimes(realProc).size || os.cpus().length),
    nowS,
    sleptS: () => Math.max(0, (uptimeS(realProc) ?? asleepAtStart + nowS()) - nowS() - asleepAtStart),
    memoryKills: () => memoryKills(realProc),
    readings,
    startLoad: (what) =>
      startOwnLoad({ command, proc: realProc, environment: withoutManager(process.env) }, what),
    endOrphans: (attemptId) => {
      const found = endOrphans(realProc, attemptId, "SIGTERM");
      if (found > 0) setTimeout(() => endOrphans(realProc, attemptId, "SIGKILL"), 10_000);
      return found;
    },
    recordOfDeath: () => recordOfDeath(sysfs, reader),
    kernelWords: kernelWords(path.join(reader, "kernel")),
  };
}

/** What they need is loaded only where it is asked for. */
async function readingsFor(settings: AttendSettings, chip: "cpu" | "gpu" | "memory"): Promise<MachineReader> {
  const { sysfs, proc, reader, read, follow } = settings;
  if (read !== null) return (await import("./attend/readCommand.ts")).readCommand(read, nowS, say);
  if (follow !== null)
    return (await import("./attend/followLog.ts")).followLog(path.resolve(follow), nowS, say);
  return ownSensors({ sysfs, proc, reader, chip, nowS });
}

function spoolFolder({ spool }: AttendSettings): string {
  if (spool !== null) return path.resolve(spool);
  if (process.platform === "win32")
    return path.join(
      process.env.LOCALAPPDATA ?? path.join(os.homedir(), "AppData", "Local"),
      "rungbook",
      "attend",
    );
  if (process.platform === "darwin")
    return path.join(os.homedir(), "Library", "Application Support", "rungbook", "attend");
  const folder = process.env.XDG_STATE_HOME ?? path.join(os.homedir(), ".local", "state");
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  return path.join(folder, "rungbook", "attend");
}

function passphraseIn({ passphraseFile }: AttendSettings): string | null {
  if (passphraseFile === null) return null;
  const mode = process.platform === "win32" ? 0 : statSync(passphraseFile).mode;
  if ((mode & 0o077) !== 0) say(`Others can read ${passphraseFile}; chmod 600 keeps the passphrase yours.`);
  return readFileSync(passphraseFile, "utf8").trim();
}

function warnOfSameMachine({ server }: AttendSettings): void {
  if (/^(localhost|127\.|\[::1\])/.test(server.hostname))
    say(
      "The journal is on this machine: a disk on a machine that is tested can be lost. Back it up elsewhere.",
    );
}

/** Asks the session not to sleep, where it can be asked. */
function keptAwake(): ChildProcess | null {
  if (process.platform !== "linux") return null;
  const words = ["--what=sleep:idle", "--who=rungbook attend", "--why=A load is run for a record", "cat"];
  const child = spawn("systemd-inhibit", words, { stdio: ["pipe", "ignore", "ignore"] });
  child.on("error", () => undefined);
  child.stdin.on("error", () => undefined);
  child.unref();
  return child;
}

function leaveOnSignals(leave: ReturnType<typeof attendantOf>["leave"]): void {
  process.on("SIGINT", () => leave({ outcome: "stopped", because: "It was stopped at the machine." }));
  for (const signal of ["SIGTERM", "SIGHUP"] as const)
    process.on(signal, () =>
      leave({ outcome: "disturbed", because: "The attendant was asked to leave: a shutdown, or somebody." }),
    );
}

attend().then(
  () => process.exit(0),
  (error: unknown) => {
    console.error((error as Error).message.split("\n")[0]);
    process.exit(2);
  },
);
