import path from "node:path";
import { namesNow, numberNow, textNow } from "./textFile.ts";

/** A counter of energy: µJ that begins again at 0 after its range (kernel documentation, powercap). */
export type EnergyCounter = Readonly<{ id: string; name: string; file: string; rangeUj: number | null }>;

const folderOf = (sysfs: string): string => path.join(sysfs, "class/powercap");

/**
 * The counters of whole packages; those within them count the same energy again. Where only root may read them, a
 * reader's copies in its own folder do.
 */
export const energyCounters = (sysfs: string, reader: string): readonly EnergyCounter[] =>
  namesNow(folderOf(sysfs))
    .filter((id) => /^[\w-]+:\d+$/.test(id))
    .map((id) => {
      const folder = path.join(folderOf(sysfs), id);
      return {
        id,
        name: textNow(path.join(folder, "name"))?.trim() || id,
        file:
          [path.join(folder, "energy_uj"), path.join(reader, `energy-${id}`)].find(
            (file) => numberNow(file) !== null,
          ) ?? "",
        rangeUj: numberNow(path.join(folder, "max_energy_range_uj")),
      };
    })
    .filter(({ file }) => file !== "");

/** Mean power between two readings so many seconds apart; null where the counter says nothing that can be. */
export function meanPowerW(
  beforeUj: number,
  afterUj: number,
  seconds: number,
  rangeUj: number | null,
): number | null {
  const usedUj =
    afterUj >= beforeUj ? afterUj - beforeUj : rangeUj === null ? null : afterUj + rangeUj - beforeUj;
  if (usedUj === null || seconds <= 0) return null;
  const watts = usedUj / 1e6 / seconds;
  return watts <= 5000 ? watts : null;
}
