import { readFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { parseArgs } from "node:util";
import * as z from "zod";

/** What a start is told, read once from flags and environment; a flag wins. */
export type Settings = Readonly<{
  command: "serve" | "backup" | "check" | "restore" | "export" | "import";
  /** The file a command works with; null for those without one. */
  file: string | null;
  journal: string;
  /** The folder for backups; null for the usual one beside the journal. */
  backups: string | null;
  host: string;
  port: number;
  demo: boolean;
  passphrase: string | null;
  /** The words that lock the file of a command, or open it. */
  lockedWith: string | null;
  /** Names by which a proxy in front of it is called. */
  knownAs: readonly string[];
}>;

/** What `rungbook --help` says. */
export const help = `rungbook                keeps the journal and serves its pages
rungbook backup FILE    a copy of the journal, while it is in use or not
rungbook check          looks the whole file over
rungbook restore FILE   puts a backup in place; the present journal is kept beside it
rungbook export FILE    everything as one JSON document
rungbook import FILE    merges such a document
rungbook attend --help  what a machine under test is told

  --journal FILE          the journal; made if absent
  --backups FOLDER        where backups are kept
  --host ADDRESS          where it listens; anything but this machine asks for a passphrase
  --port N                4780; 0 picks a free one
  --demo                  an invented bench in a journal of its own
  --passphrase-file FILE  lets other devices in, with the words in this file
  --known-as NAMES        host names of a proxy in front, with commas between
  --locked-with FILE      locks what backup and export write, and opens what restore and import read`;

type Environment = Readonly<Record<string, string | undefined>>;

const commandsWithFile = ["backup", "restore", "export", "import"] as const;
const loopback = /^(localhost|127(\.\d{1,3}){3}|::1)$/;

/** Whether other devices come in by a proxy on this machine alone. */
export const isBehindProxy = ({ host, knownAs }: Pick<Settings, "host" | "knownAs">): boolean =>
  loopback.test(host) && knownAs.length > 0;

const flags = {
  journal: { type: "string" },
  backups: { type: "string" },
  host: { type: "string" },
  port: { type: "string" },
  demo: { type: "boolean", default: false },
  "passphrase-file": { type: "string" },
  "known-as": { type: "string" },
  "locked-with": { type: "string" },
} as const;

export const flagNames: readonly string[] = Object.keys(flags);

const portWords = "--port takes a number from 0 to 65535.";
const portNumber = z
  .string()
  .trim()
  .regex(/^\d+$/, portWords)
  .transform(Number)
  .pipe(z.number().max(65_535, portWords));

/** Throws an Error with a sentence where the settings cannot be meant. */
export function settingsFrom(args: readonly string[], environment: Environment): Settings {
  const { values, positionals } = parseArgs({ args: [...args], options: flags, allowPositionals: true });
  const backups = values.backups ?? environment.RUNGBOOK_BACKUPS;
  const host = values.host ?? environment.RUNGBOOK_HOST ?? "127.0.0.1";
  const port = portNumber.safeParse(values.port ?? environment.RUNGBOOK_PORT ?? "4780");
  if (!port.success) throw new Error(port.error.issues[0]?.message);
  const passphrase = passphraseIn(values["passphrase-file"] ?? environment.RUNGBOOK_PASSPHRASE_FILE ?? null);
  if (!loopback.test(host) && passphrase === null)
    throw new Error(`Listening on ${host} lets other machines in: give --passphrase-file.`);
  return {
    ...commandIn(positionals),
    journal: path.resolve(values.journal ?? environment.RUNGBOOK_JOURNAL ?? usualJournal(environment)),
    backups: backups === undefined ? null : path.resolve(backups),
    host,
    port: port.data,
    demo: values.demo,
    passphrase,
    lockedWith: passphraseIn(values["locked-with"] ?? environment.RUNGBOOK_LOCKED_WITH ?? null),
    knownAs: namesIn(values["known-as"] ?? environment.RUNGBOOK_KNOWN_AS ?? ""),
  };
}

function commandIn([command = "serve", file, ...more]: readonly string[]): Pick<
  Settings,
  "command" | "file"
> {
  if (more.length > 0) throw new Error(`"${more[0]}" is one word too many.`);
  if (command === "serve" || command === "check") {
    if (file !== undefined) throw new Error(`"${file}" is one word too many after "${command}".`);
    return { command, file: null };
  }
  const known = commandsWithFile.find((name) => name === command);
  if (!known)
    throw new Error(`"${command}" is not a command; there are backup, check, restore, export and import.`);
  if (file === undefined) throw new Error(`"${known}" needs the name of a file.`);
  return { command: known, file: path.resolve(file) };
}

function namesIn(list: string): readonly string[] {
  const names = list
    .toLowerCase()
    .split(",")
    .map((name) => name.trim());
  const given = names.filter((name) => name !== "");
  const odd = given.find((name) => !/^[a-z0-9.-]+$|^\[[0-9a-f:]+\]$/.test(name));
  if (odd !== undefined)
    throw new Error(`--known-as takes host names with commas between; "${odd}" is none.`);
  return given;
}

function passphraseIn(file: string | null): string | null {
  if (file === null) return null;
  const words = readFileSync(file, "utf8").trim();
  if (words.length < 8) throw new Error("The passphrase must have at least 8 characters.");
  return words;
}

/** The platform's folder for a user's own records. */
function usualJournal(environment: Environment): string {
  return path.join(userFolder(environment), "rungbook", "journal.db");
}

function userFolder(environment: Environment): string {
  if (process.platform === "win32")
    return environment.LOCALAPPDATA ?? path.join(os.homedir(), "AppData", "Local");
  if (process.platform === "darwin") return path.join(os.homedir(), "Library", "Application Support");
  return environment.XDG_DATA_HOME ?? path.join(os.homedir(), ".local", "share");
}
