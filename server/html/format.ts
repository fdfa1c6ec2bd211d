const thinSpace = "\u202f";
const minus = "−";

/** What stands where nothing is known: never a zero. */
export const unknownMark = "–";

const grouped = (whole: string): string =>
  whole.length < 5 ? whole : whole.replace(/\B(?=(\d{3})+$)/g, thinSpace);

const written = (fixed: string): string => {
  if (fixed.startsWith("-")) return `${/[1-9]/.test(fixed) ? minus : ""}${written(fixed.slice(1))}`;
  const point = fixed.indexOf(".");
  return point < 0 ? grouped(fixed) : `${grouped(fixed.slice(0, point))}${fixed.slice(point)}`;
};

const trimmed = (fixed: string): string => (fixed.includes(".") ? fixed.replace(/\.?0+$/, "") : fixed);

type Known = number | null | undefined;
const isKnown = (value: Known): value is number =>
  value !== null && value !== undefined && Number.isFinite(value);

/** With `decimals` exactly that many, else as many as are needed, at most three. */
export const formatNumber = (value: Known, decimals?: number): string => {
  if (!isKnown(value)) return unknownMark;
  if (!decimals && Number.isInteger(value) && Math.abs(value) < 1e15) return written(String(value));
  return written(decimals === undefined ? trimmed(value.toFixed(3)) : value.toFixed(decimals));
};

/** A difference carries its sign, and none when it rounds to nothing. */
export const formatSigned = (value: Known, decimals = 0): string => {
  const text = formatNumber(value, decimals);
  return isKnown(value) && value > 0 && /[1-9]/.test(text) ? `+${text}` : text;
};

export const formatRange = (low: Known, high: Known, decimals = 0): string =>
  `${formatNumber(low, decimals)} to ${formatNumber(high, decimals)}`;

/** How many decimals a value deserves whose uncertainty is this: two significant digits of the uncertainty, one above 3. */
export const decimalsFor = (uncertainty: Known): number => {
  if (!isKnown(uncertainty) || uncertainty <= 0) return 0;
  const leading = Math.floor(Math.log10(uncertainty));
  const wanted = uncertainty / 10 ** leading >= 3 ? 0 : 1;
  return Math.min(6, Math.max(0, wanted - leading));
};

/** Thousandths as units: 1180 is 1.180, 1337.5 is 1.3375. Three decimals at least. */
export const formatMilli = (thousandths: Known): string => {
  if (!isKnown(thousandths)) return unknownMark;
  if (Number.isInteger(thousandths)) return written((thousandths / 1000).toFixed(3));
  const [whole = "", rest = ""] = (thousandths / 1000).toFixed(6).split(".");
  return written(`${whole}.${rest.replace(/0+$/, "").padEnd(3, "0")}`);
};

export const formatBytes = (bytes: number): string =>
  bytes < 1 << 20
    ? `${formatNumber(Math.ceil(bytes / 1024))} KiB`
    : `${formatNumber(bytes / (1 << 20), 1)} MiB`;

const secondsIn = { d: 86_400, h: 3600, min: 60 } as const;

const twoParts = (seconds: number, large: "d" | "h", small: "h" | "min"): string => {
  const rounded = Math.round(seconds / secondsIn[small]);
  const perLarge = secondsIn[large] / secondsIn[small];
  const [first, rest] = [Math.floor(rounded / perLarge), rounded % perLarge];
  return rest === 0 ? `${first} ${large}` : `${first} ${large} ${rest} ${small}`;
};

/** 45 s, 3.4 min, 20 min, 1 h 5 min, 19 h, 3 d 4 h: no finer than it is worth. */
export const formatDuration = (seconds: Known): string => {
  if (!isKnown(seconds)) return unknownMark;
  if (seconds < 59.5) return `${formatNumber(seconds, 0)} s`;
  if (seconds < 600) return `${trimmed((seconds / 60).toFixed(1))} min`;
  if (seconds < 3570) return `${Math.round(seconds / 60)} min`;
  if (seconds < 36_000) return twoParts(seconds, "h", "min");
  if (seconds < 84_600) return `${Math.round(seconds / 3600)} h`;
  return twoParts(seconds, "d", "h");
};

/** Minutes for a ruled column: one decimal below a hundred; what came at once is no run of none. */
export const formatMinutes = (seconds: Known): string => {
  if (!isKnown(seconds)) return unknownMark;
  if (seconds < 6) return seconds === 0 ? "0" : "< 0.1";
  return formatNumber(seconds / 60, seconds < 6000 ? 1 : 0);
};

/** As a running clock shows it: 07:42, 1:07:42. */
export const formatElapsed = (seconds: Known): string => {
  if (!isKnown(seconds)) return unknownMark;
  const whole = Math.max(0, Math.floor(seconds));
  const pair = (value: number) => String(value).padStart(2, "0");
  const [h, min, s] = [Math.floor(whole / 3600), Math.floor(whole / 60) % 60, whole % 60];
  return h === 0 ? `${pair(min)}:${pair(s)}` : `${h}:${pair(min)}:${pair(s)}`;
};

const months = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split(" ");

/** `brief` is for narrow lists: a day of this year with its time, a day of another year without. */
export type MomentForm = "clock" | "day" | "moment" | "brief";

/** An instant in the given zone offset (minutes east), since the kit knows no clock and no zone; nor a year unless it is told. */
export const formatMoment = (
  iso: string,
  form: MomentForm,
  offsetMinutes = 0,
  thisYear: number | null = null,
): string => {
  const at = new Date(Date.parse(iso) + offsetMinutes * 60_000);
  if (Number.isNaN(at.getTime())) return unknownMark;
  const clock = at.toISOString().slice(11, 16);
  const year = at.getUTCFullYear();
  const dayOfYear = `${at.getUTCDate()} ${months[at.getUTCMonth()]}`;
  const day = `${dayOfYear} ${year}`;
  if (form === "brief" && thisYear !== null) return year === thisYear ? `${dayOfYear}, ${clock}` : day;
  return form === "clock" ? clock : form === "day" ? day : `${day}, ${clock}`;
};

/** 1 attempt, 62 attempts, no attempts. */
export const formatCount = (count: number, one: string, many = `${one}s`): string =>
  `${count === 0 ? "no" : formatNumber(count, 0)} ${count === 1 ? one : many}`;

/** a, b and c */
export const formatList = (words: readonly string[], last = "and"): string =>
  words.length < 2 ? (words[0] ?? "") : `${words.slice(0, -1).join(", ")} ${last} ${words.at(-1)}`;
