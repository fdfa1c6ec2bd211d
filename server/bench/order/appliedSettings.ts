import type { Chip } from "../things/chip.ts";
import type { TriedRow } from "../things/evidenceRow.ts";
import { neverStarted, type Outcome } from "../things/outcome.ts";

type Applied = Pick<TriedRow, "id" | "outcome" | "startedAt" | "settingReadBack" | "freshBoot">;
type AppliedBy = Chip["appliedBy"];

/** After these the driver or the machine came up anew, or the setting was seen to be gone. */
const dropsSettings: ReadonlySet<Outcome> = new Set([
  "driver-reset",
  "restart",
  "freeze",
  "died",
  "power-cut",
  "supply-tripped",
  "setting-lost",
]);

const isDropping = ({ outcome, settingReadBack }: Applied): boolean =>
  dropsSettings.has(outcome) || neverStarted(outcome) || settingReadBack === "differs";

/**
 * The attempts of which nobody knows whether the setting was applied: where software applies it, those after a reset of
 * the driver or the machine until a setting was read back, or the tester said that it stands; and everywhere
 * those whose setting was read back as another one.
 */
export function settingsInDoubt(rows: readonly Applied[], appliedBy: AppliedBy): Set<string> {
  const readOtherwise = rows.filter(({ settingReadBack }) => settingReadBack === "differs");
  return new Set([...readOtherwise, ...droppedAlong(rows, appliedBy).inDoubt].map(({ id }) => id));
}

/**
 * The attempt with which what software had set may have gone, where nobody has said since that it was applied again;
 * null where it stands.
 */
export const settingDroppedBy = <Row extends Applied>(
  rows: readonly Row[],
  appliedBy: AppliedBy,
): Row | null => droppedAlong(rows, appliedBy).dropped;

/** Along the starts: which ran while their setting may have been gone, and what may have taken it at the end. */
function droppedAlong<Row extends Applied>(
  rows: readonly Row[],
  appliedBy: AppliedBy,
): Readonly<{ inDoubt: readonly Row[]; dropped: Row | null }> {
  if (appliedBy === "firmware") return { inDoubt: [], dropped: null };
  const inDoubt: Row[] = [];
  let dropped: Row | null = null;
  for (const row of [...rows].sort((a, b) => (a.startedAt < b.startedAt ? -1 : 1))) {
    if (row.freshBoot === true) dropped = row;
    if (row.settingReadBack === "confirmed") dropped = null;
    if (dropped !== null) inDoubt.push(row);
    if (isDropping(row)) dropped = row;
  }
  return { inDoubt, dropped };
}
