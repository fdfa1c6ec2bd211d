import type { OrderedTry } from "../bench/frontier/evidence.ts";
import type { TriedRow } from "../bench/things/evidenceRow.ts";
import { versionsAt } from "../bench/things/version.ts";
import type { Journal } from "../store/file/journal.ts";

/** Each attempt with the firmware and driver it ran under, where the build has had more than one version. */
export function underFirmware(
  journal: Journal,
  buildId: string,
  rows: readonly TriedRow[],
): readonly OrderedTry[] {
  const versions = journal.versions.allOf(buildId);
  if (versions.length < 2) return rows;
  return rows.map((row) => {
    const { firmware, driver } = versionsAt(versions, row.startedAt);
    return { ...row, firmware: [firmware?.name, driver?.name].join(" with driver ") };
  });
}
