/**
 * When a field was written, by a hybrid logical clock (Kulkarni et al., Logical Physical Clocks, 2014): milliseconds since
 * 1970, a counter where time stood still or lay behind what had been seen, and who wrote. Stamps are compared as text.
 */
export type Stamp = string;

/** Of each writer the time of its latest stamp that was seen; of one thing, a version vector. */
export type Seen = Readonly<Record<string, string>>;

const msDigits = 10;
const counterDigits = 4;
const timeLength = msDigits + counterDigits;
const mostCounted = 36 ** counterDigits - 1;

/** Instants up to the year 9999 fit; what lies before 1970 counts as then. */
export const stampOf = (ms: number, counter: number, writer: string): Stamp =>
  `${digits(Math.max(0, ms), msDigits)}${digits(counter, counterDigits)}${writer}`;

const digits = (value: number, count: number): string => Math.trunc(value).toString(36).padStart(count, "0");

export const timeOf = (stamp: Stamp): string => stamp.slice(0, timeLength);

/** The instant that a stamp tells, without its counter. */
export const whenWritten = (stamp: Stamp): string =>
  new Date(Number.parseInt(stamp.slice(0, msDigits), 36)).toISOString();

/** Edits from before there were stamps have no writer that is known; they count as those of one. */
export const writerOf = (stamp: Stamp): string => {
  const writer = stamp.slice(timeLength);
  return writer.startsWith(earlier) ? earlier : writer;
};

/** What the writer of an edit from before there were stamps begins with; a server's own begins otherwise. */
export const earlier = "o";
const own = "s";
export const writerFrom = (random: Uint8Array): string =>
  own + [...random].map((byte) => (byte % 36).toString(36)).join("");

/** Later than everything that was known of the thing, whatever the clock says. */
export function nextStamp(now: string, known: string, writer: string): Stamp {
  const here = timeOf(stampOf(Date.parse(now), 0, ""));
  return `${here > known ? here : afterTime(known)}${writer}`;
}

function afterTime(time: string): string {
  const [ms, counter] = [time.slice(0, msDigits), time.slice(msDigits)].map((text) =>
    Number.parseInt(text, 36),
  );
  return (counter ?? 0) < mostCounted
    ? stampOf(ms ?? 0, (counter ?? 0) + 1, "")
    : stampOf((ms ?? 0) + 1, 0, "");
}

export const hasSeen = (seen: Seen, stamp: Stamp): boolean => (seen[writerOf(stamp)] ?? "") >= timeOf(stamp);

export const seenToo = (seen: Seen, stamp: Stamp): Seen =>
  bothSeen(seen, { [writerOf(stamp)]: timeOf(stamp) });

export function bothSeen(one: Seen, other: Seen): Seen {
  const both = new Map(Object.entries(one));
  for (const [writer, time] of Object.entries(other))
    if ((both.get(writer) ?? "") < time) both.set(writer, time);
  return Object.fromEntries([...both].sort(([a], [b]) => (a < b ? -1 : 1)));
}

/** Whether everything that one has seen, the other has too. */
export const hasSeenAll = (seen: Seen, all: Seen): boolean =>
  Object.entries(all).every(([writer, time]) => (seen[writer] ?? "") >= time);
