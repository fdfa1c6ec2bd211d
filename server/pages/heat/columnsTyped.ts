import { isKnownChannel, type KnownChannel, knownChannels, unitsOf } from "../../bench/logs/channel.ts";
import { type ColumnMatch, columnFlaw, uncounted } from "../../bench/logs/columnMatch.ts";
import { unitWritten } from "../../bench/logs/columnProposal.ts";
import { invalid } from "../../bench/things/refusal.ts";
import type { Choice } from "../../html/field.tsx";
import type { WaitingLog } from "../../waiting/waitingLogs.ts";
import type { Typed } from "../kit/forms.ts";

/** Beyond these, columns keep the names they have: nobody settles a thousand choices. */
export const mostAsked = 60;

export const columnField = (at: number): string => `column-${at}`;

const channelWords: Readonly<Record<KnownChannel, string>> = {
  time: "time",
  temperature: "chip temperature",
  supply: "supply stage temperature",
  ambient: "room",
  power: "power",
  voltage: "voltage",
  current: "current",
  clock: "clock",
  fan: "fan speed",
  load: "load",
  throttle: "throttling, yes or no",
};
const unitWords: Readonly<Record<string, string>> = {
  clock: "a clock time",
  "m:s": "minutes and seconds",
  "h:m": "hours and minutes",
  iso: "date and time",
  count: "a row counter",
  day: "days, as spreadsheets count them",
  ymd: "date and time, year first",
  dmy: "date and time, day first",
  mdy: "date and time, month first",
  date: "date and time, day or month first not said",
};

/** Every channel with every unit it may be written in. */
export const columnChoices: readonly Choice[] = [
  { value: "own", title: "kept under its own name" },
  ...knownChannels.flatMap((channel) =>
    unitsOf(channel).map((unit) => ({
      value: `${channel}|${unit}`,
      title: unit === "" ? channelWords[channel] : `${channelWords[channel]}, ${unitWords[unit] ?? unit}`,
    })),
  ),
];

/** The match of a column as it was proposed or remembered. */
export const matchAt = (
  { names, proposal }: Pick<WaitingLog, "names" | "proposal">,
  at: number,
): ColumnMatch | undefined => proposal.find(({ column }) => column === at + 1 || column === names[at]);

/** The choice that stands for a match. */
export function choiceOf(match: ColumnMatch | undefined): string {
  if (match === undefined) return "";
  return isKnownChannel(match.channel) ? `${match.channel}|${match.unit}` : "own";
}

/** The columns as they were settled; one that was not asked about stays as proposed. Refused where they do not make a log. */
export function columnsTyped(typed: Typed, log: WaitingLog): readonly ColumnMatch[] {
  const matches = log.names.flatMap((name, at): ColumnMatch[] => {
    const proposed = matchAt(log, at);
    const choice = typed[columnField(at)] ?? choiceOf(proposed);
    if (choice === "") return [];
    const isTwice = log.names.filter((other) => other === name).length > 1;
    const column = isTwice || name === "" ? at + 1 : name;
    if (choice === "own") return [{ column, ...ownChannel(name, at, log, proposed), everyS: null }];
    const [channel = "", unit = ""] = choice.split("|");
    return [{ column, channel, unit, everyS: unit === "count" ? everyTyped(typed, proposed) : null }];
  });
  const timed = withTime(matches, typed);
  const flaw = columnFlaw(timed);
  if (flaw !== undefined) throw invalid(flaw, fieldOfFlaw(timed, log));
  return timed;
}

/** Where no column is the time, rows follow one another as far apart as was said; an unlikely length may be meant. */
function withTime(matches: readonly ColumnMatch[], typed: Typed): readonly ColumnMatch[] {
  const sure = typed.sure === "yes" ? { sure: true } : {};
  const isTimed = matches.some(({ channel }) => channel === "time");
  if (isTimed) return matches.map((match) => (match.channel === "time" ? { ...match, ...sure } : match));
  if ((typed.everyS ?? "").trim() === "") return matches;
  const counted = { column: uncounted, channel: "time", unit: "count", everyS: everyTyped(typed, undefined) };
  return [{ ...counted, ...sure }, ...matches];
}

function ownChannel(name: string, at: number, log: WaitingLog, proposed: ColumnMatch | undefined) {
  if (proposed !== undefined && !isKnownChannel(proposed.channel))
    return { channel: proposed.channel, unit: proposed.unit };
  const bare = name.trim().slice(0, 70) || `column ${at + 1}`;
  const isTaken = isKnownChannel(bare) || log.names.filter((other) => other === name).length > 1;
  return { channel: isTaken ? `${bare} (${at + 1})` : bare, unit: unitWritten(name) ?? "" };
}

function everyTyped(typed: Typed, proposed: ColumnMatch | undefined): number {
  const seconds = Number((typed.everyS ?? "").replace(",", ".") || (proposed?.everyS ?? 1));
  if (!(seconds > 0 && seconds <= 86_400))
    throw invalid("The time between two rows is a number of seconds above 0.", {
      everyS: "Seconds, like 1 or 0.5.",
    });
  return seconds;
}

/** A channel that two columns claim is told beside the second of them. */
function fieldOfFlaw(matches: readonly ColumnMatch[], log: WaitingLog): Readonly<Record<string, string>> {
  const channels = matches.map(({ channel }) => channel);
  const second = matches.find(({ channel }, i) => channels.indexOf(channel) !== i);
  if (second === undefined) return {};
  const at = typeof second.column === "number" ? second.column - 1 : log.names.indexOf(second.column);
  return { [columnField(at)]: `Another column is the ${second.channel} already.` };
}
