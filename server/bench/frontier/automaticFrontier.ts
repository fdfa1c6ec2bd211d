import { isSetByClock } from "../things/setting.ts";
import type { OrderedTry } from "./evidence.ts";
import { frontierOf } from "./frontier.ts";
import type { FrontierPoint, FrontierQuestion } from "./frontierPoint.ts";

/** How far the clock goes on automatic voltage; no voltage was set, so none is told but what was read under load. */
export type AutomaticPoint = Omit<FrontierPoint, "voltageMv" | "impliedMhz"> &
  Readonly<{ loadVoltages: readonly LoadVoltage[]; attempts: number }>;

/** The voltages read under load at the held clock; readings of different places are not compared. */
type LoadVoltage = Readonly<{
  readAt: "chip" | "board" | "probe" | null;
  lowMv: number;
  highMv: number;
}>;

/** Stands in for the voltage that nobody set. */
const unset = 0;

/** Null where nothing ran on automatic voltage. */
export function automaticFrontierOf(question: FrontierQuestion<OrderedTry>): AutomaticPoint | null {
  const rows = question.rows
    .filter(({ clockMhz, voltageMv }) => clockMhz !== null && voltageMv === null)
    .map((row) => ({ ...row, voltageMv: unset }))
    .filter(isSetByClock);
  const { points, attempts } = frontierOf({ ...question, rows });
  const [point] = points;
  if (point === undefined) return null;
  const { voltageMv: _unset, impliedMhz: _implied, ...told } = point;
  const held = rows.filter(({ clockMhz, outcome }) => outcome === "pass" && clockMhz === point.heldMhz);
  return { ...told, loadVoltages: loadVoltagesOf(held), attempts };
}

function loadVoltagesOf(rows: readonly OrderedTry[]): LoadVoltage[] {
  const places = [...new Set(rows.map(({ voltageReadAt }) => voltageReadAt))];
  return places.flatMap((readAt): LoadVoltage[] => {
    const read = rows.flatMap((row) => (row.voltageReadAt === readAt ? (row.loadVoltageMv ?? []) : []));
    return read.length === 0 ? [] : [{ readAt, lowMv: Math.min(...read), highMv: Math.max(...read) }];
  });
}
