import { createContext } from "preact";
import { useContext } from "preact/hooks";
import type { Chip } from "../../bench/things/chip.ts";
import type { SettingUnits } from "../../bench/things/setting.ts";
import type { Journal } from "../../store/file/journal.ts";

/** In which unit the chip of a page, or of a piece of it, has its clocks written. */
export const ClockUnit = createContext<Chip["clockUnit"]>("MHz");

export const useClockUnit = (): Chip["clockUnit"] => useContext(ClockUnit);

/** For a clock at a voltage, where nothing else is set. */
export const clocksIn = (clockUnit: Chip["clockUnit"]): SettingUnits => ({ clockUnit, offset: null });

/** In whose units the attempts of a build are written; what went with its chip has none. */
export const unitsOfBuild = (journal: Journal, buildId: string): Chip | undefined =>
  journal.chips.find(journal.builds.find(buildId)?.chipId ?? "");
