import type { KnownChannel } from "../bench/logs/channel.ts";
import { type AttemptFieldName, attemptFieldNames, fieldDescription } from "../bench/things/attemptFields.ts";
import type { FieldKind } from "../bench/things/fieldKinds.ts";

type Reads =
  | Readonly<{ as: "quantity"; channel: KnownChannel; units: readonly string[] }>
  | Readonly<{
      as:
        | "duration"
        | "moment"
        | "day"
        | "clock"
        | "flag"
        | "number"
        | "text"
        | "tags"
        | "settings"
        | "object";
    }>
  | Readonly<{ as: "choice"; of: readonly string[] }>
  | Readonly<{ as: "outcome" | "workload" | "build" | "id" }>;

export type AttemptColumn = Readonly<{
  /** The attempt's own field, as the export names it, or what stands for one. */
  field: string;
  title: string;
  reads: Reads;
  /** Words by which testers head such a column. */
  heads: RegExp;
}>;

const quantity = (channel: KnownChannel, ...units: readonly string[]): Reads => ({
  as: "quantity",
  channel,
  units,
});

/** How a cell is read by what its field holds; the first unit is the one it is kept in. */
const readsOf: Readonly<Record<Exclude<FieldKind, "choice">, Reads>> = {
  clock: quantity("clock", "MHz", "GHz"),
  voltage: quantity("voltage", "mV", "V"),
  temperature: quantity("temperature", "°C", "°F", "K"),
  power: quantity("power", "W", "kW"),
  current: quantity("current", "A", "mA"),
  fanSpeed: quantity("fan", "rpm"),
  duration: { as: "duration" },
  instant: { as: "moment" },
  number: { as: "number" },
  yesNo: { as: "flag" },
  confirmation: { as: "flag" },
  text: { as: "text" },
  note: { as: "text" },
  tags: { as: "tags" },
  alsoSet: { as: "settings" },
  offset: { as: "number" },
  byPart: { as: "object" },
  temperatures: { as: "object" },
  counts: { as: "object" },
  knobs: { as: "object" },
  starts: { as: "object" },
  errors: { as: "settings" },
  workload: { as: "workload" },
  outcome: { as: "outcome" },
};

/** A file names a workload by its words, not by its id. */
export const columnName = (field: AttemptFieldName): string => (field === "workloadId" ? "workload" : field);

function columnOfField(name: AttemptFieldName): AttemptColumn {
  const { kind, choices = {}, title, heads } = fieldDescription[name];
  const reads: Reads = kind === "choice" ? { as: "choice", of: Object.keys(choices) } : readsOf[kind];
  return { field: columnName(name), title, reads, heads };
}

/** Columns that are no field of an attempt but say something of it. */
const besides: readonly AttemptColumn[] = [
  { field: "id", title: "Id in the journal", reads: { as: "id" }, heads: /^(attempt )?(uu)?id$/i },
  { field: "build", title: "Build", reads: { as: "build" }, heads: /^build|^machine|^rig\b|^set-?up/i },
  {
    field: "setAsideReason",
    title: "Set aside because",
    reads: { as: "text" },
    heads: /set ?aside|left out/i,
  },
  {
    field: "startedOn",
    title: "Day of the start",
    reads: { as: "day" },
    heads: /^da(te|y)|start|when/i,
  },
  {
    field: "startedClock",
    title: "Time of the start",
    reads: { as: "clock" },
    heads: /^time|o'?clock|start|when/i,
  },
];

/** Broader words come later, so that "effective clock" is not taken for the clock. What is not named here comes first. */
const soughtInTurn: readonly string[] = [
  ...["id", "build", "setAsideReason", "aboveCeiling", "note", "tags", "alsoSet", "loadLine"],
  ...[
    "offsets",
    "offset",
    "part",
    "crashPart",
    "knobs",
    "settingReadBack",
    "freshBoot",
    "training",
    "starts",
  ],
  ...[
    "cycles",
    "coveragePct",
    "errors",
    "temps",
    "lowestTempC",
    "correctedErrorsAt",
    "toldBy",
    "loadProved",
    "bootId",
  ],
  ...["voltageReadAt", "powerAt", "fanMode", "startKind", "clockMode", "effectiveClockMhz", "clockMhz"],
  ...["loadVoltageMv", "voltageMv", "plannedS", "failedFromS", "failedToS", "durationS"],
  ...["startedAt", "startedOn", "startedClock"],
  ...["ambientC", "supplyTempC", "startTempC", "peakTempC", "loadTempC", "powerW", "currentA", "fanRpm"],
  ...["throttled", "correctedErrors", "score", "outcome", "workload"],
];
const turnOf = ({ field }: AttemptColumn): number => soughtInTurn.indexOf(field);

/** Every column an attempt may be read from. The first whose words fit a header, and is still free, is proposed. */
export const attemptColumns: readonly AttemptColumn[] = [
  ...besides,
  ...attemptFieldNames.map(columnOfField),
].sort((one, other) => turnOf(one) - turnOf(other));

const columnOf = new Map(attemptColumns.map((column) => [column.field, column]));

/** What one column of a file means; null where it is left out. A unit of "?" is still to be told. */
export type Meaning = Readonly<{ field: string; unit: string }> | null;

export const attemptColumn = (field: string): AttemptColumn | undefined => columnOf.get(field);

export const unitsFor = ({ reads }: AttemptColumn): readonly string[] =>
  reads.as === "quantity" ? reads.units : reads.as === "duration" ? ["s", "min", "h"] : [""];

/** Whether what was remembered or chosen for a column is something that can be read. */
export const isMeaning = (field: string, unit: string): boolean => {
  const column = columnOf.get(field);
  return (
    column !== undefined &&
    (unitsFor(column).includes(unit) || (unit === "?" && column.reads.as === "duration"))
  );
};
