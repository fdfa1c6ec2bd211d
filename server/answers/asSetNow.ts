import { speakingAsSetNow } from "../bench/order/asSetNow.ts";
import { type KnobShifts, knobShiftsOf } from "../bench/order/knobShifts.ts";
import { orderTermsOf } from "../bench/order/terms.ts";
import { placedByReading } from "../bench/power/placedByReading.ts";
import type { Chip } from "../bench/things/chip.ts";
import type { EvidenceRow } from "../bench/things/evidenceRow.ts";
import type { PlacedAttempt } from "../bench/things/placedAttempt.ts";
import { rowsMemory } from "../bench/things/rowsMemory.ts";
import { isSetByClock } from "../bench/things/setting.ts";
import type { Journal } from "../store/file/journal.ts";
import { underFirmware } from "./underFirmware.ts";

/** The attempts by clock and voltage that speak of a build as its knobs and its firmware stand now, oldest first. */
export function evidenceAsSetNow(journal: Journal, buildId: string, chip: Chip): readonly EvidenceRow[] {
  return asSetNow(byClockOf(journal, buildId), chip);
}

const speaking = rowsMemory<readonly EvidenceRow[]>();
const asSetNow = (rows: readonly EvidenceRow[], chip: Chip): readonly EvidenceRow[] =>
  speaking(rows, chip, () => speakingAsSetNow(rows, orderTermsOf(chip)));

/** The same, and what those with other knobs teach beyond it. */
export function evidenceAndKnobs(
  journal: Journal,
  buildId: string,
  chip: Chip,
): Readonly<{ rows: readonly EvidenceRow[]; knobs: KnobShifts<EvidenceRow> | null }> {
  const all = byClockOf(journal, buildId);
  const rows = asSetNow(all, chip);
  return { rows, knobs: shifting(all, chip, () => knobShiftsOf(all, orderTermsOf(chip), new Set(rows))) };
}

const shifting = rowsMemory<KnobShifts<EvidenceRow> | null>();

/**
 * Attempts on automatic voltage that speak of the build as it stands now, placed by what was read under load and the droop
 * that its set voltages showed; nothing where none is.
 */
export function placedAsSetNow(
  journal: Journal,
  buildId: string,
  chip: Chip,
): Readonly<{ placed?: readonly PlacedAttempt[] }> {
  if (!chip.automaticVoltage) return {};
  const rows = underFirmware(journal, buildId, journal.attempts.triedOf(buildId));
  const automatic = rows.filter(({ voltageMv }) => voltageMv === null);
  const latest = rows.filter(isSetByClock).at(-1);
  if (automatic.length === 0 || latest === undefined) return {};
  const loadLines = new Map(journal.attempts.taggedRunsOf(buildId).map(({ id, loadLine }) => [id, loadLine]));
  const all = placedByReading(
    automatic.map((row) => ({ row, loadLine: loadLines.get(row.id) ?? null })),
    journal.attempts.runsOf(buildId),
  );
  const speak = new Set<EvidenceRow>(
    speakingAsSetNow([...all.map(({ row }) => row), latest], orderTermsOf(chip)),
  );
  const placed = all.filter(({ row }) => speak.has(row));
  return placed.length === 0 ? {} : { placed };
}

function byClockOf(journal: Journal, buildId: string): readonly EvidenceRow[] {
  const tried = journal.attempts.triedOf(buildId);
  const rows = underFirmware(journal, buildId, tried);
  return rows === tried ? journal.attempts.evidenceOf(buildId) : rows.filter(isSetByClock);
}
