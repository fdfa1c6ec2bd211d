import { answerInWords } from "../bench/best/answerWords.ts";
import type { Attempt } from "../bench/things/attempt.ts";
import type { AlsoSet } from "../bench/things/attemptFields.ts";
import { conflict, missing } from "../bench/things/refusal.ts";
import type { Setting } from "../bench/things/setting.ts";
import { megahertz, volts } from "../bench/things/words.ts";
import type { Journal } from "../store/file/journal.ts";
import { answerOf } from "./answerOf.ts";
import type { Reckonings } from "./reckoned.ts";

/** Everything to enter again after the firmware has forgotten it, as pairs of a name and a value. */
export type SettingNote = Readonly<{
  setting: Setting;
  title: string;
  lines: readonly Readonly<{ name: string; value: string }>[];
  /** What it was taken from, in a sentence. */
  from: string;
}>;

/** A setting of a build; without one the build's own answer. */
export type NoteAsked = Readonly<{ buildId: string; setting: Setting | null }>;

/** The answer of a build, or the setting asked for, with what else was set when the record came nearest to it. */
export function settingNoteOf(
  journal: Journal,
  reckonings: Reckonings,
  { buildId, setting }: NoteAsked,
): SettingNote {
  if (!journal.builds.find(buildId)) throw missing("build");
  const answer = answerOf(journal, reckonings, buildId);
  const asked = setting ?? answer.setting;
  if (asked === null) throw conflict(answerInWords(answer));
  const note = noteOn(journal, { buildId, ...plain(asked) });
  const isAnswer = answer.setting !== null && isAt(asked, answer.setting);
  if (setting !== null && (isAnswer || answer.setting === null)) return note;
  const told = isAnswer
    ? answerInWords(answer)
    : `This is not the answer of the build. ${answerInWords(answer)}`;
  return { ...note, from: `${told} ${note.from}` };
}

const plain = ({ clockMhz, voltageMv }: Setting): Setting => ({ clockMhz, voltageMv });

type SettingOfBuild = Setting & Readonly<{ buildId: string }>;

function noteOn(journal: Journal, asked: SettingOfBuild): SettingNote {
  const build = journal.builds.find(asked.buildId);
  if (!build) throw missing("build");
  const chip = journal.chips.find(build.chipId)?.name ?? "";
  const board = journal.boards.find(build.boardId)?.name ?? "";
  const nearest = nearestTo(asked, journal.attempts.allOf(build.id));
  return {
    setting: plain(asked),
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

const isAt = (one: Setting, { clockMhz, voltageMv }: Setting): boolean =>
  one.clockMhz === clockMhz && one.voltageMv === voltageMv;

/** The latest attempt at the setting, else the latest at the nearest voltage and then clock. */
function nearestTo({ clockMhz, voltageMv }: Setting, attempts: readonly Attempt[]): Attempt | null {
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
