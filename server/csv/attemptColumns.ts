import type { KnownChannel } from "../bench/logs/channel.ts";
import { clockModes, powerReadPlaces, startKinds, voltageReadPlaces } from "../bench/things/attempt.ts";

type Reads =
  | Readonly<{ as: "quantity"; channel: KnownChannel; units: readonly string[] }>
  | Readonly<{
      as: "duration" | "moment" | "day" | "clock" | "flag" | "number" | "text" | "tags" | "settings";
    }>
  | Readonly<{ as: "choice"; of: readonly string[] }>
  | Readonly<{ as: "outcome" | "workload" | "build" | "id" }>;

export type AttemptColumn = Readonly<{
  /** The attempt's own field, as the export names it, or what stands for one. */
  field: string;
  title: string;
  reads: Reads;
  /** Words by which testers head such a column. */
  words: RegExp;
}>;

const clock = { as: "quantity", channel: "clock", units: ["MHz", "GHz"] } as const;
const voltage = { as: "quantity", channel: "voltage", units: ["mV", "V"] } as const;
const temperature = { as: "quantity", channel: "temperature", units: ["°C", "°F", "K"] } as const;
const duration = { as: "duration" } as const;

/** Every column an attempt may be read from. The first whose words fit a header, and is still free, is proposed. */
export const attemptColumns: readonly AttemptColumn[] = [
  { field: "id", title: "Id in the journal", reads: { as: "id" }, words: /^(attempt )?(uu)?id$/i },
  { field: "build", title: "Build", reads: { as: "build" }, words: /^build|^machine|^rig\b|^set-?up/i },
  {
    field: "setAsideReason",
    title: "Set aside because",
    reads: { as: "text" },
    words: /set ?aside|left out/i,
  },
  { field: "aboveCeiling", title: "Above the ceiling on purpose", reads: { as: "flag" }, words: /ceiling/i },
  { field: "note", title: "Note", reads: { as: "text" }, words: /note|comment|remark|observation/i },
  { field: "tags", title: "Tags", reads: { as: "tags" }, words: /^tags?$|label/i },
  { field: "alsoSet", title: "Also set", reads: { as: "settings" }, words: /also ?set/i },
  { field: "loadLine", title: "Load-line", reads: { as: "text" }, words: /load-? ?line(?!.*volt)/i },
  {
    field: "voltageReadAt",
    title: "Voltage read at",
    reads: { as: "choice", of: voltageReadPlaces },
    words: /volt.*read ?at|volt.*(where|place)/i,
  },
  {
    field: "powerAt",
    title: "Power read at",
    reads: { as: "choice", of: powerReadPlaces },
    words: /power ?at|power.*(where|place|read)/i,
  },
  { field: "fanMode", title: "Fan mode", reads: { as: "text" }, words: /fan.*(mode|curve|profile)/i },
  {
    field: "startKind",
    title: "Kind of start",
    reads: { as: "choice", of: startKinds },
    words: /start ?kind|kind of start|cold.*start/i,
  },
  {
    field: "clockMode",
    title: "Clock mode",
    reads: { as: "choice", of: clockModes },
    words: /clock ?mode|boost/i,
  },
  {
    field: "effectiveClockMhz",
    title: "Effective clock",
    reads: clock,
    words: /(effective|actual|real|mean).*(clock|freq)/i,
  },
  { field: "clockMhz", title: "Clock", reads: clock, words: /clock|freq|\b[mg]hz\b/i },
  {
    field: "loadVoltageMv",
    title: "Voltage under load",
    reads: voltage,
    words: /(load|read|measured|actual|droop).*(volt|vcore)|(volt|vcore).*(load|read|measured)/i,
  },
  { field: "voltageMv", title: "Voltage", reads: voltage, words: /volt|vcore|\bm?v\b/i },
  { field: "plannedS", title: "Planned duration", reads: duration, words: /plan|meant/i },
  {
    field: "failedFromS",
    title: "Failed no earlier than",
    reads: duration,
    words: /failed ?(from|after)|no earlier/i,
  },
  {
    field: "failedToS",
    title: "Failed no later than",
    reads: duration,
    words: /failed ?(to|before)|no later/i,
  },
  {
    field: "durationS",
    title: "Duration",
    reads: duration,
    words: /duration|length|lasted|ran|run ?time|elapsed|survived|minutes|hours|seconds/i,
  },
  {
    field: "startedAt",
    title: "Date and time of the start",
    reads: { as: "moment" },
    words: /start|when|time|begin|began|date|day/i,
  },
  { field: "startedOn", title: "Day of the start", reads: { as: "day" }, words: /^da(te|y)|start|when/i },
  {
    field: "startedClock",
    title: "Time of the start",
    reads: { as: "clock" },
    words: /^time|o'?clock|start|when/i,
  },
  { field: "ambientC", title: "Room temperature", reads: temperature, words: /ambient|room|intake|\bair\b/i },
  {
    field: "supplyTempC",
    title: "Supply temperature",
    reads: temperature,
    words: /vrm|supply|phase|regulator|power stage/i,
  },
  {
    field: "startTempC",
    title: "Temperature at the start",
    reads: temperature,
    words: /(idle|before).*(temp|°)|temp.*(idle|before|at (the )?start)/i,
  },
  { field: "peakTempC", title: "Peak temperature", reads: temperature, words: /(peak|max|hottest|highest)/i },
  { field: "loadTempC", title: "Load temperature", reads: temperature, words: /temp|°|hot ?spot|degrees/i },
  {
    field: "powerW",
    title: "Power",
    reads: { as: "quantity", channel: "power", units: ["W", "kW"] },
    words: /power|watt/i,
  },
  {
    field: "currentA",
    title: "Current",
    reads: { as: "quantity", channel: "current", units: ["A", "mA"] },
    words: /current|amp/i,
  },
  {
    field: "fanRpm",
    title: "Fan speed",
    reads: { as: "quantity", channel: "fan", units: ["rpm"] },
    words: /fan|rpm/i,
  },
  { field: "throttled", title: "Throttled", reads: { as: "flag" }, words: /throttl/i },
  {
    field: "correctedErrors",
    title: "Corrected errors",
    reads: { as: "number" },
    words: /corrected|errors/i,
  },
  { field: "score", title: "Score", reads: { as: "number" }, words: /score|points|per (s|min|h)/i },
  {
    field: "outcome",
    title: "Outcome",
    reads: { as: "outcome" },
    words: /outcome|result|ended|status|passed|how it/i,
  },
  {
    field: "workload",
    title: "Workload",
    reads: { as: "workload" },
    words: /work ?load|^load|test|stress|program/i,
  },
];

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
