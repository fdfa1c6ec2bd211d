import { inside, roomOf } from "./imports.ts";

/** The subjects of the bench, lowest first, each with the subjects it may ask. */
const subjects = {
  things: [],
  runs: ["things"],
  noise: ["things"],
  logs: ["things"],
  pictures: ["things"],
  order: ["things"],
  frontier: ["things", "order"],
  power: ["things", "runs"],
  heat: ["things", "power"],
  comparison: ["things", "runs", "noise"],
  limit: ["things", "order", "frontier", "heat"],
  next: ["things", "frontier", "heat", "limit"],
  scale: ["things", "order", "frontier", "heat", "limit", "next"],
  best: ["things", "runs", "frontier", "heat", "limit", "next", "scale"],
  document: ["things", "noise", "pictures"],
  writeUp: ["things", "runs", "noise", "heat", "frontier", "comparison", "limit", "best"],
} as const;

/** The rooms of the store, lowest first. */
const shelves = {
  rows: [],
  attempts: ["rows"],
  parts: ["rows"],
  traces: ["rows", "attempts"],
  file: ["rows", "attempts", "parts", "traces"],
} as const;

const inRoom = (room: string, names: readonly string[]): string[] => names.map((name) => `${room}/${name}`);
const bench = inRoom("bench", Object.keys(subjects));
const store = inRoom("store", Object.keys(shelves));
const below = ["numerics", ...bench, "csv", ...store, "answers", "actions"];
const without = (rooms: readonly string[], room: string) => rooms.filter((one) => one !== room);

/** Each room may import itself and the rooms named here. */
export const mayImport: Readonly<Record<string, readonly string[]>> = {
  numerics: [],
  ...Object.fromEntries(
    Object.entries(subjects).map(([name, asks]) => [`bench/${name}`, ["numerics", ...inRoom("bench", asks)]]),
  ),
  csv: ["numerics", ...bench],
  ...Object.fromEntries(
    Object.entries(shelves).map(([name, asks]) => [
      `store/${name}`,
      ["numerics", ...bench, "csv", ...inRoom("store", asks)],
    ]),
  ),
  answers: without(below, "answers"),
  actions: without(below, "actions"),
  kernel: ["numerics", ...bench],
  attend: ["numerics", ...bench, "csv", "kernel"],
  html: [],
  requests: below,
  waiting: below,
  interface: [...below, "requests"],
  pages: [...without(below, "numerics"), "html", "requests", "waiting"],
  capture: [...below, "kernel"],
  demo: [...below, "kernel", "attend"],
  workers: below,
};

/** The rooms that each room imports. */
export const asked: ReadonlyMap<string, ReadonlySet<string>> = inside.reduce((all, { from, to }) => {
  const [room, other] = [roomOf(from), roomOf(to)];
  return room === other ? all : all.set(room, (all.get(room) ?? new Set<string>()).add(other));
}, new Map<string, Set<string>>());

const floors = new Map<string, number>();

/** One more than the highest floor among what a room imports; 0 where it imports nothing of ours. */
export function floorOf(room: string): number {
  const known = floors.get(room);
  if (known !== undefined) return known;
  floors.set(room, Number.POSITIVE_INFINITY); // a room met again on the way down stands in a circle
  const floor = Math.max(-1, ...[...(asked.get(room) ?? [])].map(floorOf)) + 1;
  floors.set(room, floor);
  return floor;
}

const isSubject = (room: string): boolean => room.includes("/");
const wholeOf = (room: string): string => room.split("/")[0] ?? room;

/**
 * The house as DEVELOPERS.md shows it, the highest floor first: a subject of the bench or the store with each subject it
 * asks, any other room with the rooms it asks as wholes.
 */
export const pictureOfHouse = (): string =>
  Object.keys(mayImport)
    .map((room) => ({ room, floor: floorOf(room), asks: [...(asked.get(room) ?? [])].sort() }))
    .sort((a, b) => b.floor - a.floor)
    .map(({ room, floor, asks }) => {
      const named = isSubject(room) ? asks : [...new Set(asks.map(wholeOf))];
      return `${String(floor).padStart(2)}  ${room.padEnd(18)} ${named.join(" ")}`.trimEnd();
    })
    .join("\n");
