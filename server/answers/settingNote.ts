import { answerInWords } from "../bench/best/answerWords.ts";
import type { OffsetAnswer } from "../bench/scale/offsetAnswer.ts";
import { type KnobValues, knobValueWords } from "../bench/things/asSet.ts";
import type { Attempt } from "../bench/things/attempt.ts";
import type { AlsoSet } from "../bench/things/attemptFields.ts";
import type { Build } from "../bench/things/build.ts";
import type { Chip } from "../bench/things/chip.ts";
import { knobAt } from "../bench/things/knob.ts";
import { conflict, missing } from "../bench/things/refusal.ts";
import {
  type AsSet,
  isSetByClock,
  offsetWords,
  type Setting,
  type SettingUnits,
} from "../bench/things/setting.ts";
import { versionsAt } from "../bench/things/version.ts";
import { clockWords, volts } from "../bench/things/words.ts";
import type { Journal } from "../store/file/journal.ts";
import { answerOf, type BuildAnswer } from "./answerOf.ts";
import { buildAsked } from "./buildAsked.ts";
import type { Reckonings } from "./reckoned.ts";

/** Everything to enter again where firmware or driver has forgotten it, as pairs of a name and a value. */
export type SettingNote = Readonly<{
  setting: AsSet;
  units: SettingUnits | undefined;
  title: string;
  lines: readonly Readonly<{ name: string; value: string }>[];
  /** What it was taken from, in a sentence. */
  from: string;
}>;

/** A setting of a build; without one the build's own answer. */
export type NoteQuestion = Readonly<{ buildId: string; setting: Setting | null }>;

/** The answer of a build, or the setting asked for, with what else was set when the record came nearest to it. */
export function settingNoteOf(
  journal: Journal,
  reckonings: Reckonings,
  { buildId, setting }: NoteQuestion,
): SettingNote {
  if (!journal.builds.find(buildId)) throw missing("build");
  const { clockUnit } = buildAsked(journal, { buildId }).chip;
  const answer = answerOf(journal, reckonings, buildId);
  if (setting === null && answer.byOffset !== null)
    return noteByOffset(journal, buildId, answer, answer.byOffset);
  const asked = setting ?? answer.setting;
  if (asked === null) throw conflict(answerInWords(answer, clockUnit));
  const isAnswer = answer.setting !== null && isAt(asked, answer.setting);
  const knobs = isAnswer ? (answer.setting?.knobs ?? null) : null;
  const note = noteOn(journal, { buildId, ...plain(asked) }, knobs);
  if (setting !== null && (isAnswer || answer.setting === null)) return note;
  const told = isAnswer
    ? answerInWords(answer, clockUnit)
    : `This is not the answer of the build. ${answerInWords(answer, clockUnit)}`;
  return { ...note, from: `${told} ${note.from}` };
}

const plain = ({ clockMhz, voltageMv }: Setting): Setting => ({ clockMhz, voltageMv });

type SettingOfBuild = Setting & Readonly<{ buildId: string }>;

function noteOn(journal: Journal, asked: SettingOfBuild, answered: KnobValues | null): SettingNote {
  const build = journal.builds.find(asked.buildId);
  if (!build) throw missing("build");
  const chip = journal.chips.find(build.chipId);
  const board = journal.boards.find(build.boardId)?.name ?? "";
  const nearest = nearestTo(asked, journal.attempts.allOf(build.id));
  const unit = chip?.clockUnit ?? "MHz";
  return {
    setting: plain(asked),
    units: chip,
    title: titleOf(`${chip?.name ?? ""} on ${board}`, build.name),
    lines: [
      { name: unit === "MHz" ? "Clock" : "Speed", value: clockWords(asked.clockMhz, unit) },
      { name: voltageNameOf(chip), value: volts(asked.voltageMv) },
      ...(chip ? knobLines(chip, { ...nearest?.knobs, ...answered }) : []),
      ...linesOf(journal, build, nearest),
    ],
    from:
      nearest === null
        ? "No attempt of this build is on record, so nothing else is known to have been set."
        : `What else was set is taken from the attempt of ${nearest.startedAt.slice(0, 10)} at ${clockWords(nearest.clockMhz, unit)} and ${volts(nearest.voltageMv)}${isAt(nearest, asked) ? "" : ", the nearest on record"}.`,
  };
}

/** The list of offsets, a line a part, with the knobs that belong to it as they stood last. */
function noteByOffset(
  journal: Journal,
  buildId: string,
  answer: BuildAnswer,
  { offset, offsets }: OffsetAnswer,
): SettingNote {
  const { build, chip } = buildAsked(journal, { buildId });
  if (offset === null && offsets === null) throw conflict(answerInWords(answer, chip.clockUnit));
  const words = (level: number): string => offsetWords(level, chip);
  const name = chip.offset?.name ?? "Offset";
  const last = ranLastAt(journal.attempts.allOf(buildId), { offset, offsets });
  return {
    setting: { clockMhz: null, voltageMv: null, offset, offsets },
    units: chip,
    title: titleOf(`${chip.name} on ${journal.boards.find(build.boardId)?.name ?? ""}`, build.name),
    lines: [
      ...(offset === null ? [] : [{ name, value: words(offset) }]),
      ...Object.entries(offsets ?? {}).map(([part, level]) => ({
        name: `${name}, ${part}`,
        value: words(level),
      })),
      ...knobLines(chip, last?.knobs ?? null),
      ...linesOf(journal, build, last),
    ],
    from: answerInWords(answer, chip.clockUnit),
  };
}

/** A build that was given no name of its own is called as its chip on its board. */
const titleOf = (parts: string, buildName: string): string =>
  parts === buildName ? parts : `${parts}: ${buildName}`;

const voltageNameOf = (chip: Chip | undefined): string =>
  chip?.voltageName ?? (chip?.kind === "memory" ? "Memory voltage" : "Core voltage");

/** The latest attempt that passed at an answer, else the latest of all. */
function ranLastAt(
  attempts: readonly Attempt[],
  { offset, offsets }: Pick<OffsetAnswer, "offset" | "offsets">,
): Attempt | null {
  const counted = attempts.filter(({ setAside }) => setAside === null);
  const isThere = (attempt: Attempt): boolean =>
    offsets === null
      ? attempt.offset === offset
      : Object.entries(offsets).every(([part, level]) => attempt.offsets?.[part] === level);
  const passed = counted.filter((attempt) => attempt.outcome === "pass" && isThere(attempt));
  return latestOf(passed) ?? latestOf(counted);
}

const latestOf = (attempts: readonly Attempt[]): Attempt | null =>
  attempts.reduce<Attempt | null>(
    (latest, one) => (latest === null || one.startedAt >= latest.startedAt ? one : latest),
    null,
  );

/** The knobs that belong to the setting; of its surroundings those that the attempt named. */
const knobLines = ({ knobs }: Chip, said: KnobValues | null): SettingNote["lines"] =>
  knobs
    .filter(({ id, belongs }) => belongs === "setting" || (said !== null && Object.hasOwn(said, id)))
    .map((knob) => ({ name: knob.name, value: `${knobValueWords(knobAt(knob, said))} ${knob.unit}`.trim() }));

const isAt = (one: Setting, { clockMhz, voltageMv }: Setting): boolean =>
  one.clockMhz === clockMhz && one.voltageMv === voltageMv;

type SetAttempt = Attempt & Setting;

/** The latest attempt at the setting, else the latest at the nearest voltage and then clock. */
function nearestTo({ clockMhz, voltageMv }: Setting, attempts: readonly Attempt[]): SetAttempt | null {
  const distance = (attempt: SetAttempt): number =>
    Math.abs(attempt.voltageMv - voltageMv) * 1000 + Math.abs(attempt.clockMhz - clockMhz);
  return attempts
    .filter(isSetByClock)
    .filter((attempt) => attempt.setAside === null && attempt.clockMode !== "boost")
    .reduce<SetAttempt | null>(
      (best, attempt) => (best === null || distance(attempt) <= distance(best) ? attempt : best),
      null,
    );
}

function linesOf(journal: Journal, build: Build, attempt: Attempt | null): { name: string; value: string }[] {
  const versions = journal.versions.allOf(build.id);
  const { firmware, driver } = versionsAt(versions, attempt?.startedAt ?? "");
  const known: [string, string | null][] = [
    ["Load-line", attempt?.loadLine ?? null],
    ["Fans", attempt?.fanMode ?? null],
    ...(attempt?.alsoSet ?? []).map((one: AlsoSet): [string, string] => [one.name, String(one.value)]),
    ["Firmware", firmware?.name || attempt?.asBuilt.firmware || build.firmware || null],
    ["Driver", driver?.name ?? null],
  ];
  return known.flatMap(([name, value]) => (value === null || value === "" ? [] : [{ name, value }]));
}

/** The same as plain text, one line each. */
export const noteText = ({ title, lines, from }: SettingNote): string => {
  const widest = Math.max(...lines.map(({ name }) => name.length));
  return `${[title, "", ...lines.map(({ name, value }) => `${name.padEnd(widest)}  ${value}`), "", from].join("\n")}\n`;
};
