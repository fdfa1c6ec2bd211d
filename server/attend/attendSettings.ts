import path from "node:path";
import { parseArgs } from "node:util";
import { type Outcome, outcomes } from "../bench/things/outcome.ts";
import type { ExitMeanings } from "./ending.ts";
import { usualMostDeaths } from "./evening.ts";

/** What an attendant is told on its command line; nothing else ever says what it runs. */
export type AttendSettings = Readonly<{
  server: URL;
  /** Name or id. */
  build: string;
  name: string | null;
  passphraseFile: string | null;
  forS: number | null;
  once: boolean;
  evening: boolean;
  settleS: number;
  stopAtC: number | null;
  progress: RegExp | null;
  wrong: RegExp | null;
  meanings: ExitMeanings;
  read: string | null;
  follow: string | null;
  sysfs: string;
  proc: string;
  reader: string;
  spool: string | null;
  /** Print the units of the service manager instead of attending. */
  unit: boolean;
  /** See whether heat ends the load, instead of attending. */
  tryCutOut: boolean;
  mostDeaths: number;
  command: readonly string[];
}>;

const flags = {
  server: { type: "string" },
  build: { type: "string" },
  name: { type: "string" },
  "passphrase-file": { type: "string" },
  for: { type: "string" },
  once: { type: "boolean", default: false },
  evening: { type: "boolean", default: false },
  settle: { type: "string" },
  "stop-at": { type: "string" },
  progress: { type: "string" },
  wrong: { type: "string" },
  exit: { type: "string", multiple: true },
  read: { type: "string" },
  follow: { type: "string" },
  sysfs: { type: "string" },
  proc: { type: "string" },
  reader: { type: "string" },
  spool: { type: "string" },
  unit: { type: "boolean", default: false },
  "try-cut-out": { type: "boolean", default: false },
} as const;

export const attendFlags: readonly string[] = Object.keys(flags);

export const usage =
  "rungbook attend --server http://HOST:4780 --build NAME [--for 20m] [--once | --evening] -- COMMAND ARG…";

/** Throws an Error with a sentence where the settings cannot be meant. */
export function attendSettings(args: readonly string[]): AttendSettings {
  const cut = args.indexOf("--");
  const [before, command] = cut < 0 ? [args, []] : [args.slice(0, cut), args.slice(cut + 1)];
  const { values } = parseArgs({ args: [...before], options: flags, allowPositionals: false });
  if (values.server === undefined) throw new Error(`Say where the journal is: ${usage}`);
  if (values.build === undefined) throw new Error(`Say which build this machine is: ${usage}`);
  if (command.length === 0) throw new Error(`Name the load behind "--": ${usage}`);
  if (values.once && values.evening) throw new Error("--once and --evening do not go together.");
  if (values.read !== undefined && values.follow !== undefined)
    throw new Error("--read and --follow do not go together.");
  return {
    server: serverIn(values.server),
    build: values.build,
    name: values.name ?? null,
    passphraseFile: values["passphrase-file"] === undefined ? null : path.resolve(values["passphrase-file"]),
    forS: values.for === undefined ? null : seconds("--for", values.for),
    once: values.once,
    evening: values.evening,
    settleS: values.settle === undefined ? (values.evening ? 60 : 0) : seconds("--settle", values.settle),
    stopAtC: values["stop-at"] === undefined ? null : degrees("--stop-at", values["stop-at"]),
    progress: pattern("--progress", values.progress),
    wrong: pattern("--wrong", values.wrong),
    meanings: new Map((values.exit ?? []).map(meaning)),
    read: values.read ?? null,
    follow: values.follow ?? null,
    sysfs: values.sysfs ?? "/sys",
    proc: values.proc ?? "/proc",
    reader: values.reader ?? "/run/rungbook-reader",
    spool: values.spool ?? null,
    unit: values.unit,
    tryCutOut: values["try-cut-out"],
    mostDeaths: usualMostDeaths,
    command,
  };
}

function serverIn(typed: string): URL {
  const url = URL.canParse(typed) ? new URL(typed) : null;
  if (url === null || !["http:", "https:"].includes(url.protocol))
    throw new Error("--server takes an address such as http://laptop:4780.");
  if (url.username !== "" || url.password !== "")
    throw new Error("A passphrase in an address is seen by everybody; give --passphrase-file.");
  return new URL(url.origin);
}

function seconds(flag: string, typed: string): number {
  const [, number = "", unit = "s"] = /^(\d+(?:\.\d+)?)\s*(s|m|min|h)?$/.exec(typed.trim()) ?? [];
  const perUnit: Readonly<Record<string, number>> = { s: 1, m: 60, min: 60, h: 3600 };
  const found = Number(number || Number.NaN) * (perUnit[unit] ?? Number.NaN);
  if (!(found >= 0 && found <= 2_592_000)) throw new Error(`${flag} takes a time such as 90s, 20m or 8h.`);
  return found;
}

function degrees(flag: string, typed: string): number {
  const found = Number(typed.trim() || Number.NaN);
  if (!(found >= -100 && found <= 200)) throw new Error(`${flag} takes a temperature in °C, such as 92.`);
  return found;
}

function pattern(flag: string, typed: string | undefined): RegExp | null {
  if (typed === undefined) return null;
  try {
    return new RegExp(typed);
  } catch {
    throw new Error(`${flag} takes a regular expression; "${typed}" is none.`);
  }
}

const mayMean = outcomes.filter((outcome) => outcome !== "running" && outcome !== "pass");

function meaning(typed: string): readonly [number, Outcome] {
  const [, code = "", word = ""] = /^(\d{1,3})=([a-z-]+)$/.exec(typed.trim()) ?? [];
  const outcome = mayMean.find((one) => one === word);
  if (outcome === undefined || Number(code) > 255)
    throw new Error(
      `--exit takes a code and what it means, such as 1=wrong-result; it may mean ${mayMean.join(", ")}.`,
    );
  return [Number(code), outcome];
}
