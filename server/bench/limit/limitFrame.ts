import type { CoordinateMap } from "../../numerics/quantileMap.ts";
import { evidenceClockMhz } from "../frontier/evidence.ts";
import type { Chip } from "../things/chip.ts";
import type { EvidenceRow } from "../things/evidenceRow.ts";
import { isCrash } from "../things/outcome.ts";
import { clockWords, type UnitOfClock, volts } from "../things/words.ts";
import { baseSharpness, type SharpnessPrior, sharpnessScaleOf } from "./sharpness.ts";

/** The point from which the fit measures clocks and voltages, and how surely the limit lies near above it. */
export type LimitFrame = Readonly<{
  clockMhz: number;
  voltageMv: number;
  /** ln(limit / clock) at the point, mean and standard deviation before any attempt. */
  headroom: Readonly<{ mean: number; sd: number }>;
  from: "stock" | "attempts";
  /** How sharp the limit may be before any attempt, as a standard normal coordinate. */
  sharpness: CoordinateMap;
  /** Another board, cooler or case moves the limit by so much of its logarithm, one standard deviation. */
  boardDeviation: number;
  /** True where runs far below the voltage tell what a degree costs there, or whether it helps. */
  heatTurns: boolean;
  /** What a reader should know of the point. */
  notes: readonly string[];
}>;

/** A limit lies about 8 % above the stock clock at the stock voltage, give or take 8 %. */
const stockHeadroom = { mean: 0.08, sd: 0.08 };
/** Without stock values it lies somewhere near the highest clock that ran. */
const attemptHeadroom = { mean: 0.02, sd: 0.12 };

const usualBoardDeviation = 0.012;

/** Null where there are neither stock values nor attempts to start from. */
export function limitFrameOf(
  chip: Pick<Chip, "stockClockMhz" | "stockVoltageMv" | "clockUnit">,
  rows: readonly EvidenceRow[],
  sharpness: SharpnessPrior = baseSharpness,
  boardDeviation: number = usualBoardDeviation,
): LimitFrame | null {
  const start = startOf(chip, rows);
  return start && { ...start, sharpness: sharpnessScaleOf(sharpness), boardDeviation, heatTurns: false };
}

function startOf(
  chip: Pick<Chip, "stockClockMhz" | "stockVoltageMv" | "clockUnit">,
  rows: readonly EvidenceRow[],
): Omit<LimitFrame, "sharpness" | "boardDeviation" | "heatTurns"> | null {
  const settings = rows.flatMap((row) => {
    const clockMhz = row.clockMode === "boost" ? null : evidenceClockMhz(row);
    return clockMhz === null ? [] : [{ clockMhz, voltageMv: row.voltageMv, crashed: isCrash(row.outcome) }];
  });
  const { stockClockMhz, stockVoltageMv } = chip;
  const usual = typicalSetting(settings);
  if (stockClockMhz !== null && stockVoltageMv !== null) {
    const because =
      usual === null ? null : strangeStock(stockClockMhz, stockVoltageMv, usual, chip.clockUnit);
    if (because === null || usual === null)
      return {
        clockMhz: stockClockMhz,
        voltageMv: stockVoltageMv,
        headroom: stockHeadroom,
        from: "stock",
        notes: [],
      };
    return { ...usual, headroom: attemptHeadroom, from: "attempts", notes: [because] };
  }
  if (usual === null) return null;
  const notes = [
    "The stock clock and voltage of the chip are not entered; the fit starts from the attempts instead.",
  ];
  return { ...usual, headroom: attemptHeadroom, from: "attempts", notes };
}

type Setting = Readonly<{ clockMhz: number; voltageMv: number; crashed: boolean }>;
type Point = Readonly<{ clockMhz: number; voltageMv: number }>;

/** The highest clock that ran, else the lowest that crashed, at its own voltage. */
function typicalSetting(settings: readonly Setting[]): Point | null {
  const ran = settings.filter(({ crashed }) => !crashed);
  const sorted = [...(ran.length > 0 ? ran : settings)].sort((a, b) => a.clockMhz - b.clockMhz);
  const chosen = ran.length > 0 ? sorted[sorted.length - 1] : sorted[0];
  return chosen === undefined ? null : { clockMhz: chosen.clockMhz, voltageMv: chosen.voltageMv };
}

/** A stock point far from everything tried was likely mistyped. */
function strangeStock(clockMhz: number, voltageMv: number, usual: Point, unit: UnitOfClock): string | null {
  const clockRatio = usual.clockMhz / clockMhz;
  if (clockRatio < 0.4 || clockRatio > 2.5)
    return `The stock clock of ${clockWords(clockMhz, unit)} does not fit the attempts around ${clockWords(usual.clockMhz, unit)}; it is left out. Look at the chip's entry.`;
  const voltageRatio = usual.voltageMv / voltageMv;
  if (voltageRatio < 0.5 || voltageRatio > 2)
    return `The stock voltage of ${volts(voltageMv)} does not fit the attempts around ${volts(usual.voltageMv)}; it is left out. Look at the chip's entry.`;
  return null;
}

/** A chip that crashes at its stock setting or an easier one has a fault that no other setting explains. */
export function stockCrashNote(frame: LimitFrame, rows: readonly EvidenceRow[]): string | null {
  if (frame.from !== "stock") return null;
  const crashes = rows.filter(
    (row) => isCrash(row.outcome) && row.clockMhz <= frame.clockMhz && row.voltageMv >= frame.voltageMv,
  );
  if (crashes.length === 0) return null;
  const times = crashes.length === 1 ? "once" : `${crashes.length} times`;
  return `It crashed ${times} at the stock setting or an easier one: that points to a fault elsewhere (memory, power supply, cooling, software), to be settled before going further.`;
}
