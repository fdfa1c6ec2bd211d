import type { TriedRow } from "../things/evidenceRow.ts";
import { neverStarted, type Outcome } from "../things/outcome.ts";

type Applied = Pick<TriedRow, "id" | "outcome" | "startedAt" | "settingReadBack" | "freshBoot">;

/** After these the driver or the machine came up anew, and what software had set may be gone. */
const dropsSettings: ReadonlySet<Outcome> = new Set([
  "driver-reset",
  "restart",
  "freeze",
  "died",
  "power-cut",
  "supply-tripped",
]);

/**
 * The attempts of which nobody knows whether the setting was applied: where software applies it, those after a reset of
 * the driver or the machine until a setting was read back, or the tester said that it stands; and everywhere
 * those whose setting was read back as another one. In the order of their starts.
 */
export function settingsInDoubt(rows: readonly Applied[], appliedBy: "firmware" | "software"): Set<string> {
  const inDoubt = new Set<string>();
  for (const row of rows) if (row.settingReadBack === "differs") inDoubt.add(row.id);
  if (appliedBy === "firmware") return inDoubt;
  let mayBeGone = false;
  for (const row of [...rows].sort((a, b) => (a.startedAt < b.startedAt ? -1 : 1))) {
    if (row.freshBoot === true) mayBeGone = true;
    if (row.settingReadBack === "confirmed") mayBeGone = false;
    if (mayBeGone) inDoubt.add(row.id);
    if (dropsSettings.has(row.outcome) || neverStarted(row.outcome)) mayBeGone = true;
  }
  return inDoubt;
}
