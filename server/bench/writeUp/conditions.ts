import type { Account, AccountedBuild } from "./account.ts";
import { counted } from "./figures.ts";

/** Under which conditions a build was tried. */
export type Conditions = Readonly<{
  attempts: number;
  hours: number;
  days: number;
  /** The coolest and the hottest room; null where none was noted. */
  roomC: readonly [number, number] | null;
  withoutRoom: number;
  mounts: number;
  noiseReadings: number;
}>;

function conditionsOf({ runs, noise }: AccountedBuild): Conditions {
  const rooms = runs.flatMap((run) => run.ambientC ?? []);
  return {
    attempts: runs.length,
    hours: runs.reduce((sum, run) => sum + (run.durationS ?? 0), 0) / 3600,
    days: new Set(runs.map((run) => run.startedAt.slice(0, 10))).size,
    roomC: rooms.length === 0 ? null : [least(rooms), most(rooms)],
    withoutRoom: runs.length - rooms.length,
    mounts: new Set(runs.map((run) => run.mountId)).size,
    noiseReadings: noise.length,
  };
}

const least = (values: readonly number[]): number =>
  values.reduce((low, value) => Math.min(low, value), Infinity);
const most = (values: readonly number[]): number =>
  values.reduce((high, value) => Math.max(high, value), -Infinity);

export const conditionsWords = (account: Account): string =>
  account.builds.map((build) => wordsOf(build.build.name, conditionsOf(build))).join(" ");

function roomWords([low, high]: readonly [number, number]): string {
  const [from, to] = [low.toFixed(1), high.toFixed(1)];
  return from === to ? `the room at ${from} °C` : `rooms from ${from} to ${to} °C`;
}

function wordsOf(name: string, found: Conditions): string {
  const room = found.roomC === null ? "no room temperature noted" : roomWords(found.roomC);
  const missing =
    found.withoutRoom > 0 && found.roomC !== null ? ` (not noted for ${found.withoutRoom})` : "";
  const tried = `${counted(found.attempts, "attempt")}, ${found.hours.toFixed(1)} h in all`;
  return `${name}: ${tried}, ${counted(found.days, "day")}, ${counted(found.mounts, "mount")}, ${room}${missing}.`;
}
