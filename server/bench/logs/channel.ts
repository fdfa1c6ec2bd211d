/** What a column of a trace may speak of; any other name is the tester's own. */
export const knownChannels = [
  "time",
  "temperature",
  "supply",
  "ambient",
  "power",
  "voltage",
  "current",
  "clock",
  "fan",
  "load",
  "throttle",
] as const;
export type KnownChannel = (typeof knownChannels)[number];

/** One column of a trace: what it speaks of and the unit it is kept in. */
export type Channel = Readonly<{ channel: string; unit: string }>;

/** How a written number becomes the unit that is kept: kept = (written + shift) * factor. */
type Conversion = Readonly<{ to: string; factor: number; shift: number }>;

const scaled = (to: string, factor: number, shift = 0): Conversion => ({ to, factor, shift });

const temperatures: Readonly<Record<string, Conversion>> = {
  "°C": scaled("°C", 1),
  "°F": scaled("°C", 1 / 1.8, -32),
  K: scaled("°C", 1, -273.15),
};

/** Units by channel, the one that is kept first. */
const units: Readonly<Record<KnownChannel, Readonly<Record<string, Conversion>>>> = {
  time: {
    s: scaled("s", 1),
    ms: scaled("s", 1e-3),
    µs: scaled("s", 1e-6),
    ns: scaled("s", 1e-9),
    min: scaled("s", 60),
    h: scaled("s", 3600),
    /** A time of day, or a time since the start, written 13:04:05.250. */
    clock: scaled("s", 1),
    /** The same in two parts, where it is said which: 75:30 since the start, 13:04 of the day. */
    "m:s": scaled("s", 1),
    "h:m": scaled("s", 1),
    /** Days since the end of 1899, as spreadsheets count them. */
    day: scaled("s", 86_400),
    /** Date and time by ISO 8601. */
    iso: scaled("s", 1),
    /** A date and a clock, with the order of its parts; `date` is one whose order nobody said. */
    ymd: scaled("s", 1),
    dmy: scaled("s", 1),
    mdy: scaled("s", 1),
    date: scaled("s", 1),
    /** A row number at a fixed rate; the rate is told beside it. */
    count: scaled("s", 1),
  },
  temperature: temperatures,
  supply: temperatures,
  ambient: temperatures,
  power: { W: scaled("W", 1), mW: scaled("W", 1e-3), µW: scaled("W", 1e-6), kW: scaled("W", 1e3) },
  voltage: { mV: scaled("mV", 1), V: scaled("mV", 1e3), µV: scaled("mV", 1e-3) },
  current: { A: scaled("A", 1), mA: scaled("A", 1e-3) },
  clock: {
    MHz: scaled("MHz", 1),
    GHz: scaled("MHz", 1e3),
    kHz: scaled("MHz", 1e-3),
    Hz: scaled("MHz", 1e-6),
  },
  fan: { rpm: scaled("rpm", 1) },
  load: { "%": scaled("%", 1) },
  throttle: { "": scaled("", 1) },
};

/** What the table itself holds: a word from a file may be one that every object answers to. */
const ownOf = <Value>(table: Readonly<Record<string, Value>>, word: string): Value | undefined =>
  Object.hasOwn(table, word) ? table[word] : undefined;

export const isKnownChannel = (channel: string): channel is KnownChannel =>
  (knownChannels as readonly string[]).includes(channel);

/** The spellings of a unit that people and sensors use. */
const spellings: Readonly<Record<string, string>> = {
  c: "°C",
  "°c": "°C",
  "º c": "°C",
  ºc: "°C",
  degc: "°C",
  "deg c": "°C",
  celsius: "°C",
  f: "°F",
  "°f": "°F",
  ºf: "°F",
  degf: "°F",
  fahrenheit: "°F",
  k: "K",
  kelvin: "K",
  w: "W",
  watt: "W",
  watts: "W",
  kw: "kW",
  v: "V",
  volt: "V",
  volts: "V",
  mv: "mV",
  uv: "µV",
  μv: "µV",
  µv: "µV",
  uw: "µW",
  a: "A",
  amp: "A",
  amps: "A",
  ma: "mA",
  hz: "Hz",
  khz: "kHz",
  mhz: "MHz",
  ghz: "GHz",
  rpm: "rpm",
  "1/min": "rpm",
  "r/min": "rpm",
  "u/min": "rpm",
  "%": "%",
  percent: "%",
  s: "s",
  sec: "s",
  second: "s",
  seconds: "s",
  sek: "s",
  ms: "ms",
  msec: "ms",
  us: "µs",
  μs: "µs",
  µs: "µs",
  min: "min",
  minute: "min",
  minutes: "min",
  ns: "ns",
  nsec: "ns",
  day: "day",
  days: "day",
  ymd: "ymd",
  dmy: "dmy",
  mdy: "mdy",
  date: "date",
  h: "h",
  hour: "h",
  hours: "h",
  clock: "clock",
  "m:s": "m:s",
  "mm:ss": "m:s",
  "m:ss": "m:s",
  "h:m": "h:m",
  "hh:mm": "h:m",
  "h:mm": "h:m",
  iso: "iso",
  "iso 8601": "iso",
  count: "count",
};

/** A unit as this journal writes it, however it was spelled; undefined where it is none we know. */
export const unitSpelled = (written: string): string | undefined => {
  const trimmed = written.trim();
  if (trimmed === "mW" || trimmed === "MW") return trimmed === "mW" ? "mW" : undefined;
  return ownOf(spellings, trimmed.toLowerCase());
};

/** The unit a channel is kept in; a channel of the tester's own keeps the unit as typed. */
export const unitKept = (channel: string, unit: string): string =>
  isKnownChannel(channel) ? (Object.keys(units[channel])[0] ?? "") : unit;

export const unitsOf = (channel: KnownChannel): readonly string[] => Object.keys(units[channel]);

/** Turns what was written into the kept unit; undefined where the unit does not fit the channel. */
export function conversionOf(channel: string, unit: string): Conversion | undefined {
  if (!isKnownChannel(channel)) return scaled(unit, 1);
  const known = units[channel];
  if (channel === "throttle") return known[""];
  if (unit === "") return Object.values(known)[0];
  const spelled = unitSpelled(unit);
  return ownOf(known, spelled ?? unit);
}
