import { knobValueWords } from "../../bench/things/asSet.ts";
import type { Attempt } from "../../bench/things/attempt.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { type Knob, knobAt } from "../../bench/things/knob.ts";
import { knobsBeside, timingKnobs, timingsWritten } from "../../bench/things/timings.ts";
import { formatMilli, formatMinutes, formatNumber, unknownMark } from "../../html/format.ts";
import { ListedMoment, Moment } from "../../html/quantity.tsx";
import { type Column, Rows, Table } from "../../html/table.tsx";
import { paths } from "../paths.ts";
import { asSetSaid } from "./asSetSaid.ts";
import { OutcomeMark } from "./outcomeMark.tsx";
import { offsetsInShort, settingWords } from "./settingWords.tsx";

type Row = Attempt;

/** What was set in any of the rows: each has a column, in rows that join later too. */
export type UsedColumns = Readonly<{ knobs: ReadonlySet<string>; clock: boolean; voltage: boolean }>;

const usedIn = (rows: readonly Row[]): UsedColumns => ({
  knobs: new Set(rows.flatMap(({ knobs }) => Object.keys(knobs ?? {}))),
  clock: rows.some(({ clockMhz }) => clockMhz !== null),
  voltage: rows.some(({ voltageMv }) => voltageMv !== null),
});

export type LoadNames = ReadonlyMap<string, string>;

const hottestShownC = (attempt: Row): number | null => attempt.peakTempC ?? attempt.loadTempC;

const Words = ({ attempt }: { attempt: Row }) => (
  <>
    {attempt.setAside ? <b>set aside: {attempt.setAside.reason} </b> : null}
    {asSetSaid(attempt) ? (
      <span class="quiet">
        {asSetSaid(attempt)}
        {attempt.note ? "; " : ""}
      </span>
    ) : null}
    {attempt.note.length > 90 ? `${attempt.note.slice(0, 88)}…` : attempt.note}
  </>
);

/** Attempts as a table has them: each leads to its own page. `times` says the day too where they are not of today. */
const attemptColumns = (
  loads: LoadNames,
  times: "clock" | "moment",
  chip: Chip,
  rows: readonly Row[],
  used: UsedColumns,
  isWhole: boolean,
): readonly Column<Row>[] => [
  {
    head: "Time",
    words: true,
    cell: (attempt) => (
      <a href={paths.attempt(attempt.id)}>
        {times === "clock" ? (
          <Moment at={attempt.startedAt} form="clock" />
        ) : (
          <ListedMoment at={attempt.startedAt} />
        )}
        <span class="unseen">, attempt {settingWords(attempt, chip)}</span>
      </a>
    ),
  },
  ...settingColumns(chip, used),
  { head: "Ran", unit: "min", cell: ({ durationS }) => formatMinutes(durationS) },
  { head: "Ended", words: true, cell: ({ outcome }) => <OutcomeMark outcome={outcome} /> },
  { head: "Load", words: true, cell: ({ workloadId }) => loads.get(workloadId) ?? "" },
  ...(isWhole && rows.every((attempt) => hottestShownC(attempt) === null) ? [] : [hottestColumn]),
  ...(isWhole && !rows.some(hasWords) ? [] : [noteColumn]),
  ...restColumns(chip, rows, used, loads, isWhole),
];

const hasWords = (attempt: Row): boolean =>
  attempt.setAside !== null || attempt.note !== "" || asSetSaid(attempt) !== "";

/** A phone's row has no head over it: what nobody read leaves its place empty. */
const hottestColumn: Column<Row> = {
  head: "Hottest",
  unit: "°C",
  unitOf: (attempt) => (hottestShownC(attempt) === null ? "" : "°C"),
  cell: (attempt) =>
    hottestShownC(attempt) === null ? (
      <span class="on-wide">{unknownMark}</span>
    ) : (
      formatNumber(hottestShownC(attempt))
    ),
};

const noteColumn: Column<Row> = {
  head: "Note",
  words: true,
  wide: true,
  cell: (attempt) => (hasWords(attempt) ? <Words attempt={attempt} /> : ""),
};

/** Clock and voltage; before them the offset of a chip that is set by it, behind them the knobs that were used. */
function settingColumns(chip: Chip, used: UsedColumns): readonly Column<Row>[] {
  const isOffset = chip.axis === "offset";
  return [
    ...(isOffset ? [offsetColumn(chip)] : []),
    ...(!isOffset || used.clock ? [clockColumn(chip)] : []),
    ...(!isOffset || used.voltage ? [voltageColumn] : []),
    ...knobColumns(chip, used),
  ];
}

const offsetColumn = (chip: Chip): Column<Row> => ({
  head: chip.offset?.name ?? "Offset",
  words: true,
  strong: true,
  cell: (attempt) => (
    <span class="quantity">
      {attempt.offsets === null || attempt.part !== null
        ? settingWords(attempt, chip)
        : offsetsInShort(attempt.offsets, chip.offset?.unit)}
    </span>
  ),
});

const clockColumn = (chip: Chip): Column<Row> => ({
  head: chip.clockUnit === "MT/s" ? "Speed" : "Clock",
  unit: chip.clockUnit,
  strong: chip.axis !== "offset",
  cell: ({ clockMhz }) => formatNumber(clockMhz),
});

const voltageColumn: Column<Row> = {
  head: "Voltage",
  unit: "V",
  cell: ({ voltageMv }) => formatMilli(voltageMv),
};

const timingsHead = "Timings";

function knobColumns(chip: Chip, used: UsedColumns): readonly Column<Row>[] {
  const isUsed = ({ id }: Knob) => used.knobs.has(id);
  const timings = timingKnobs(chip);
  return [
    ...(timings.some(isUsed)
      ? [{ head: timingsHead, wide: true, cell: ({ knobs }: Row) => timingsWritten(timings, knobs) }]
      : []),
    ...knobsBeside(chip)
      .filter(isUsed)
      .map((knob) => ({
        head: knob.name,
        ...(knob.unit ? { unit: knob.unit } : {}),
        wide: true,
        cell: ({ knobs }: Row) => knobValueWords(knobAt(knob, knobs)),
      })),
  ];
}

/** On a phone timings are told with the row, being known by their look; the other knobs, the load where it differs, and what was noted are a tap away. */
function restColumns(
  chip: Chip,
  rows: readonly Row[],
  used: UsedColumns,
  loads: LoadNames,
  isWhole: boolean,
): readonly Column<Row>[] {
  const timings = timingKnobs(chip);
  const areTimed = timings.some(({ id }) => used.knobs.has(id));
  const knobs = knobColumns(chip, used).filter(({ head }) => head !== timingsHead);
  const tellsLoad = used.knobs.size > 0 && new Set(rows.map(({ workloadId }) => workloadId)).size > 1;
  const knobsSaid = (attempt: Row): string[] =>
    knobs.map(({ head, unit, cell }) => `${head} ${cell(attempt, 0)}${unit ? `\u00a0${unit}` : ""}`);
  const setWords = (attempt: Row): string =>
    [...(tellsLoad ? [loads.get(attempt.workloadId) ?? ""] : []), ...knobsSaid(attempt)].join(", ");
  /**
   * The one knob that the attempt before it had otherwise, by its name alone where the line has no room for more; beside
   * offsets by part it has none.
   */
  const turnedWords = (attempt: Row, index: number): string => {
    const before = rows[index + 1];
    if (before === undefined || chip.axis !== "offset" || attempt.offsets !== null) return "";
    const had = knobsSaid(before);
    const turned = knobsSaid(attempt).flatMap((said, at) =>
      said === had[at] ? [] : [{ said, name: knobs[at]?.head ?? "" }],
    );
    const [one] = turned;
    if (one === undefined || turned.length > 1) return "";
    return [one.said, one.name].find(({ length }) => length <= mostTurned) ?? "";
  };
  const hasRest = knobs.length > 0 || tellsLoad || !isWhole || rows.some(hasWords);
  return [
    ...(areTimed
      ? [{ head: "Set", narrow: true, cell: ({ knobs: set }: Row) => timingsWritten(timings, set) }]
      : []),
    ...(hasRest ? [restColumn(setWords, turnedWords)] : []),
  ];
}

/** So many letters stand beside a time and an offset. */
const mostTurned = 17;

const restColumn = (
  setWords: (attempt: Row) => string,
  turnedWords: (attempt: Row, index: number) => string,
): Column<Row> => ({
  head: "More",
  narrow: true,
  cell: (attempt, index) => {
    const set = setWords(attempt);
    if (set === "" && !hasWords(attempt)) return "";
    return <Rest attempt={attempt} set={set} turned={turnedWords(attempt, index)} />;
  },
});

type RestProps = { attempt: Attempt; set: string; turned: string };

/** Its word says what is folded away. */
const Rest = ({ attempt, set, turned }: RestProps) => (
  <details class="rest">
    <summary>{turned || (set === "" ? "note" : hasWords(attempt) ? "more" : "knobs")}</summary>
    <div>
      {set}
      {set && hasWords(attempt) ? "; " : null}
      <Words attempt={attempt} />
    </div>
  </details>
);

export const loadNames = (workloads: readonly Readonly<{ id: string; name: string }>[]): LoadNames =>
  new Map(workloads.map(({ id, name }) => [id, name]));

type TableProps = Readonly<{
  caption: string;
  rows: readonly Attempt[];
  chip: Chip;
  loads: LoadNames;
  /** With the time alone, or with the day too. */
  times: "clock" | "moment";
  more?: Readonly<{ href: string; title: string }> | null;
  /** Of all rows, where these are some of them. */
  used?: UsedColumns;
}>;

/** Rows that others join keep every column. */
const tableOf = ({ rows, chip, loads, times, more, used }: TableProps, isWhole: boolean) => ({
  columns: attemptColumns(loads, times, chip, rows, used ?? usedIn(rows), isWhole),
  rows,
  rowId: ({ id }: Attempt) => `attempt-${id}`,
  ...(more === undefined ? {} : { more }),
});

const attemptsClass = ({ times, rows, used = usedIn(rows) }: TableProps): string =>
  ["attempts", times === "moment" ? "dated" : "", used.knobs.size > 0 ? "knobbed" : ""]
    .filter(Boolean)
    .join(" ");

/** Attempts as they stand on every page: a line each, on a phone two short ones. */
export const AttemptsTable = (shown: TableProps) => (
  <div class={attemptsClass(shown)}>
    <Table caption={shown.caption} {...tableOf(shown, !shown.more)} />
  </div>
);

/** The next rows alone, for a swap. */
export const AttemptsRows = (shown: Omit<TableProps, "caption">) => (
  <Rows {...tableOf({ caption: "", ...shown }, false)} />
);
