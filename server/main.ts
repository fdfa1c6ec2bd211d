import { randomBytes } from "node:crypto";
import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import closeWithGrace from "close-with-grace";
import { ensureStandardRule } from "./actions/parts.ts";
import { tidyUp } from "./actions/tidyUp.ts";
import { type Attendants, attendants } from "./answers/attendants.ts";
import { fittedAdvice } from "./answers/benchAdvice.ts";
import { type Reckonings, reckoningsOn } from "./answers/reckoned.ts";
import { buildApp } from "./app.ts";
import type { Answered, Sending, Transport } from "./attend/transport.ts";
import { recordingOf } from "./capture/recording.ts";
import { caretakerOf } from "./caretaker.ts";
import { fileWorkOn } from "./fileWork.ts";
import { hwmonRoot } from "./kernel/hwmon.ts";
import { assetsIn } from "./pages/assets.ts";
import { reckonersIn } from "./reckoner.ts";
import { help, isBehindProxy, type Settings, settingsFrom } from "./settings.ts";
import { type HeldJournal, openHeld } from "./store/file/held.ts";
import { type Journal, type JournalOptions, openJournal } from "./store/file/journal.ts";

/** The folder that holds the migrations, from the sources and from dist alike. */
function packageRoot(): string {
  let folder = import.meta.dirname;
  while (!existsSync(path.join(folder, "migrations"))) folder = path.dirname(folder);
  return folder;
}

const root = packageRoot();
const now = (): string => new Date().toISOString();

async function main(): Promise<void> {
  const args = process.argv.slice(2);
  if (args.includes("--help") || args.includes("-h")) return console.log(help);
  const settings = settingsFrom(args, process.env);
  if (settings.command === "serve") return serve(settings);
  const { runCommand } = await import("./commands.ts");
  const options = journalOptions(settings);
  process.exitCode = await runCommand(settings, {
    open: (file) => begun(openJournal(file, options)),
    openHeld: (file) => heldJournalAt(file, options),
    options,
    now,
  });
}

const journalOptions = ({ backups }: Pick<Settings, "backups">): JournalOptions => ({
  migrations: path.join(root, "migrations"),
  randomBytes,
  ...(backups === null ? {} : { backups }),
});

function heldJournalAt(file: string, options: JournalOptions): HeldJournal {
  const held = openHeld(file, options);
  begun(held.journal);
  return held;
}

/** What every journal holds from the beginning. One that may not be written is shown without. */
function begun(journal: Journal): Journal {
  if (journal.stopped() === null) ensureStandardRule({ journal });
  return journal;
}

async function serve(settings: Settings): Promise<void> {
  const demoFolder = settings.demo ? mkdtempSync(path.join(os.tmpdir(), "rungbook-demo-")) : null;
  const { journal, hold } = demoFolder
    ? heldJournalAt(path.join(demoFolder, "demo.db"), journalOptions({ backups: null }))
    : heldJournalAt(settings.journal, journalOptions(settings));
  if (demoFolder) {
    const { fillDemo } = await import("./demo/demoJournal.ts");
    fillDemo(journal, now());
  }
  const folders = { web: path.join(root, "dist", "web") };
  const { version } = JSON.parse(readFileSync(path.join(root, "package.json"), "utf8")) as {
    version: string;
  };
  const reckoner = reckonersIn(path.join(root, "dist", "server", "workers"), {
    complain: (fault) => console.error(fault),
  });
  const reckonings = reckoningsOn(journal, reckoner.reckon);
  const rooms = {
    workers: path.join(root, "dist", "server", "workers"),
    migrations: path.join(root, "migrations"),
    now,
  };
  const attending = attendants();
  const invented = demoFolder ? await inventedIn(journal, attending, (sent) => injected(app, sent)) : null;
  const fileWork = fileWorkOn(journal, { ...rooms, backups: demoFolder ? null : settings.backups });
  const app = await buildApp({
    ...rooms,
    journal,
    files: fileWork.files,
    reckonings,
    version,
    assets: assetsIn(folders),
    demo: settings.demo,
    attendants: attending,
    ...(invented && { inventMachine: invented.attend }),
    folders,
    guard: { hosts: namesOf(settings.host), knownAs: settings.knownAs },
    passphrase: settings.passphrase,
    log: true,
  });
  const recording = recordingOf({ journal, now, root: hwmonRoot, complain: (fault) => app.log.warn(fault) });
  let isEnding = false;
  // What was under way when the server was asked to end is done at the end, or by the next start.
  const caretaker = caretakerOf(journal, fileWork.files, (fault) => {
    if (!isEnding) app.log.warn(fault);
  });
  const inventedTicks = setInterval(() => invented?.tick(), 250).unref();
  const everySecond = setInterval(() => {
    void recording.tick();
    void caretaker();
  }, 1000);
  closeWithGrace({ delay: 5000, logger: false }, async ({ err }) => {
    if (err) console.error(err);
    isEnding = true;
    clearInterval(everySecond);
    clearInterval(inventedTicks);
    await recording.flush();
    await app.close();
    await Promise.all([reckoner.close(), fileWork.close()]);
    journal.close();
    hold?.release();
    if (demoFolder) rmSync(demoFolder, { recursive: true, force: true });
  });
  await app.listen({ host: settings.host, port: settings.port });
  const address = app.server.address();
  const port = typeof address === "object" && address ? address.port : settings.port;
  const host = settings.host.includes(":") ? `[${settings.host}]` : settings.host;
  hold?.announce(`http://${host}:${port}`);
  console.log(`Listening on http://${host}:${port}`);
  if (settings.passphrase !== null && !isBehindProxy(settings))
    console.error(
      'What passes between this server and other devices is not encrypted; README, "Encrypted", says how to put it behind a proxy that does it.',
    );
  const stop = journal.stopped();
  if (stop) console.error(stop.words);
  tidyUpIn(journal, (fault, words) => app.log.warn(fault, words));
  fitNewest(journal, reckonings);
}

/** Machines of the demo, which speak to this server as real ones would, only not over a network. */
async function inventedIn(journal: Journal, attending: Attendants, send: Transport) {
  const { inventedMachines } = await import("./demo/inventedMachines.ts");
  return inventedMachines({
    send,
    nowS: () => performance.now() / 1000,
    shown: (buildId) => attending.shown(buildId),
    buildOf: (buildId) => {
      const build = journal.builds.find(buildId);
      const chip = build && journal.chips.find(build.chipId);
      if (!build || !chip) return null;
      return {
        name: build.name,
        stock: { clockMhz: chip.stockClockMhz ?? 4000, voltageMv: chip.stockVoltageMv ?? 1100 },
      };
    },
  });
}

async function injected(
  app: Awaited<ReturnType<typeof buildApp>>,
  { method, path: url, body, lines, key }: Sending,
): Promise<Answered> {
  const reply = await app.inject({
    ...{ method, url },
    headers: {
      ...(key !== undefined && { "idempotency-key": key }),
      ...(lines !== undefined && { "content-type": "application/x-ndjson" }),
    },
    payload:
      lines === undefined
        ? ((body ?? "") as object)
        : lines.map((line) => `${JSON.stringify(line)}\n`).join(""),
  });
  return { status: reply.statusCode, body: reply.body === "" ? null : reply.json() };
}

/** What this server may be called: the address it listens on, or every name of this machine where it listens on all. */
function namesOf(host: string): string[] {
  const bracketed = (address: string): string => (address.includes(":") ? `[${address}]` : address);
  if (host !== "0.0.0.0" && host !== "::") return [bracketed(host.toLowerCase())];
  const addresses = Object.values(os.networkInterfaces()).flatMap((one) => one ?? []);
  const name = os.hostname().toLowerCase();
  return [name, `${name}.local`, ...addresses.map(({ address }) => bracketed(address.toLowerCase()))];
}

/** Tidying can wait for another start; the server goes on without. */
function tidyUpIn(journal: Journal, complain: (fault: unknown, words: string) => void): void {
  if (journal.stopped()) return;
  try {
    journal.writeNow(() => tidyUp({ journal, now: now() }));
  } catch (fault) {
    complain(fault, "What was deleted could not be let go of; the next start tries again.");
  }
}

/** A build longer than this takes room that nobody may have asked for: it is fitted when somebody does. */
const mostFittedAhead = 5000;

/** Fits the build last worked on before anybody asks, so that the first look at the bench has its proposal. */
function fitNewest(journal: Journal, reckonings: Reckonings): void {
  const buildId = journal.attempts.newest()?.buildId;
  if (buildId === undefined || journal.attempts.countOf(buildId) > mostFittedAhead) return;
  const asked = {
    buildId,
    aim: "clock",
    voltageMv: null,
    clockMhz: null,
    minutes: null,
    passedOver: [],
    pooled: true,
    again: null,
    voltagesMv: [],
    workloadId: null,
    until: null,
    knob: null,
  } as const;
  fittedAdvice(journal, reckonings, asked).catch(() => undefined);
}

main().catch((error: unknown) => {
  console.error(startFault(error));
  process.exit(2);
});

/** A start that fails says why in one line. */
function startFault(error: unknown): string {
  const { message = String(error), code } = error as NodeJS.ErrnoException;
  if (code === "EADDRINUSE")
    return "That port is in use; is Rungbook running already? Choose another with --port.";
  return message.split("\n")[0] ?? "The start failed.";
}
