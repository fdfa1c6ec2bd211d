import type { AlsoSet, Attempt } from "../bench/things/attempt.ts";
import { missing } from "../bench/things/refusal.ts";
import { megahertz, volts } from "../bench/things/words.ts";
import type { Journal } from "../store/file/journal.ts";

/** Everything to enter again after the firmware has forgotten it, as pairs of a name and a value. */
export type SettingNote = Readonly<{
  title: string;
  lines: readonly Readonly<{ name: string; value: string }>[];
  /** What it was taken from, in a sentence. */
  from: string;
}>;

export type NoteAsked = Readonly<{ buildId: string; clockMhz: number; voltageMv: number }>;

/** The clock and voltage asked for, with what else was set when the record came nearest to them. */
export function settingNoteOf(journal: Journal, asked: NoteAsked): SettingNote {
  const build = journal.builds.find(asked.buildId);
  if (!build) throw missing("build");
  const chip = journal.chips.find(build.chipId)?.name ?? "";
  const board = journal.boards.find(build.boardId)?.name ?? "";
  const nearest = nearestTo(asked, journal.attempts.allOf(build.id));
  return {
    title: `${chip} on ${board}: ${build.name}`,
    lines: [
      { name: "Clock", value: megahertz(asked.clockMhz) },
      { name: "Core voltage", value: volts(asked.voltageMv) },
      ...linesOf(nearest, build.firmware),
    ],
    from:
      nearest === null
        ? "No attempt of this build is on record, so nothing else is known to have been set."
        : `What else was set is taken from the attempt of ${nearest.startedAt.slice(0, 10)} at ${megahertz(nearest.clockMhz)} and ${volts(nearest.voltageMv)}${isAt(nearest, asked) ? "" : ", the nearest on record"}.`,
  };
}

const isAt = (attempt: Attempt, { clockMhz, voltageMv }: NoteAsked): boolean =>
  attempt.clockMhz === clockMhz && attempt.voltageMv === voltageMv;

/** The latest attempt at the setting, else the latest at the nearest voltage and then clock. */
function nearestTo({ clockMhz, voltageMv }: NoteAsked, attempts: readonly Attempt[]): Attempt | null {
  const distance = (attempt: Attempt): number =>
    Math.abs(attempt.voltageMv - voltageMv) * 1000 + Math.abs(attempt.clockMhz - clockMhz);
  return attempts
    .filter((attempt) => attempt.setAside === null && attempt.clockMode !== "boost")
    .reduce<Attempt | null>(
      (best, attempt) => (best === null || distance(attempt) <= distance(best) ? attempt : best),
      null,
    );
}

function linesOf(attempt: Attempt | null, firmware: string): { name: string; value: string }[] {
  const known: [string, string | null][] = [
    ["Load-line", attempt?.loadLine ?? null],
    ["Fans", attempt?.fanMode ?? null],
    ...(attempt?.alsoSet ?? []).map((one: AlsoSet): [string, string] => [one.name, String(one.value)]),
    ["Firmware", attempt?.asBuilt.firmware || firmware || null],
  ];
  return known.flatMap(([name, value]) => (value === null || value === "" ? [] : [{ name, value }]));
}

/** The same as plain text, one line each. */
export const noteText = ({ title, lines, from }: SettingNote): string => {
  const widest = Math.max(...lines.map(({ name }) => name.length));
  return `${[title, "", ...lines.map(({ name, value }) => `${name.padEnd(widest)}  ${value}`), "", from].join("\n")}\n`;
};
