import type { NoiseReading } from "./noiseReading.ts";

/** `none` where the background is too far below to matter; `upper-bound` where it is too close to be taken out. */
export type NoiseCorrection = "applied" | "none" | "upper-bound" | "no-background";

export type NoiseFindings = Readonly<{
  /** The energetic mean of the readings, as they were read. */
  meanDba: number;
  /** The build alone, with the background taken out; null where no background was read. */
  correctedDba: number | null;
  correction: NoiseCorrection;
  /** Read no louder than the room with the build off, which no build can be. */
  isUnderBackground: boolean;
  /** At 1 m as if nothing but air stood around: without a background, or too close to it, the most it can be. */
  atOneMetreDba: number;
}>;

type Readings = Pick<NoiseReading, "levelsDba" | "backgroundDba" | "distanceM">;

/** What one set of readings says of the build's own loudness. */
export const noiseFindings = (reading: Readings): NoiseFindings => {
  const meanDba = energeticMeanDba(reading.levelsDba);
  const { correctedDba, correction } = backgroundTakenOut(meanDba, reading.backgroundDba);
  const atOneMetreDba = levelAtDistanceDba(correctedDba ?? meanDba, reading.distanceM, 1);
  const isUnderBackground = reading.backgroundDba !== null && meanDba <= reading.backgroundDba;
  return { meanDba, correctedDba, correction, isUnderBackground, atOneMetreDba };
};

const energy = (levelDba: number): number => 10 ** (levelDba / 10);
const levelOf = (amount: number): number => 10 * Math.log10(amount);
/** Decibels to a billionth, so that a difference of exactly 6 dB is not missed by the last bit. */
const settled = (levelDb: number): number => Math.round(levelDb * 1e9) / 1e9;

/** Sources heard together add as energy: two equal ones are 3 dB louder than one. */
export const energeticSumDba = (levelsDba: readonly number[]): number =>
  settled(levelOf(levelsDba.reduce((sum, level) => sum + energy(level), 0)));

/** Levels read one after another are averaged as energy, never below their arithmetic mean. */
export const energeticMeanDba = (levelsDba: readonly number[]): number =>
  settled(energeticSumDba(levelsDba) - levelOf(levelsDba.length));

/** What a level loses when a background this far below it is taken out as energy. */
export const backgroundCorrectionDb = (differenceDb: number): number =>
  -levelOf(1 - 10 ** (-differenceDb / 10));

/**
 * From this difference on the background no longer matters; under the other it drowns the build, and 1.3 dB is the most
 * that may be taken off. Limits as ISO 3744:2010, 8.2.3 has them (set-up seen, figures from memory).
 */
const noCorrectionFromDb = 15;
const correctableFromDb = 6;
const mostCorrectionDb = 1.3;

const backgroundTakenOut = (
  meanDba: number,
  backgroundDba: number | null,
): Pick<NoiseFindings, "correctedDba" | "correction"> => {
  if (backgroundDba === null) return { correctedDba: null, correction: "no-background" };
  const differenceDb = settled(meanDba - backgroundDba);
  if (differenceDb >= noCorrectionFromDb) return { correctedDba: meanDba, correction: "none" };
  if (differenceDb < correctableFromDb)
    return { correctedDba: settled(meanDba - mostCorrectionDb), correction: "upper-bound" };
  return { correctedDba: settled(meanDba - backgroundCorrectionDb(differenceDb)), correction: "applied" };
};

/** The level at another distance from a small source in the open: 6 dB less at twice the distance. */
export const levelAtDistanceDba = (levelDba: number, fromM: number, toM: number): number =>
  settled(levelDba - 20 * Math.log10(toM / fromM));

/** Said wherever a level stands at a distance it was not read at. */
export const distanceCaution =
  "Worked out as if in the open. A room gives sound back, so the true level at another distance changes less.";

/** Said of a reading at or under its background. */
export const underBackgroundWords =
  "A build cannot be quieter than the empty room: this reads no louder than the background did. Read both again, with nothing else changed between them.";

/** The limits of the correction, with their edges. */
export const correctionLimitsWords =
  "The background is taken out as energy from 6 dB to under 15 dB above it. From exactly 15 dB on nothing is taken off; under 6 dB only 1.3 dB, and the level is the most it can be (limits as in ISO 3744).";

export const correctionWords: Readonly<Record<NoiseCorrection, string>> = {
  applied: "background taken out",
  none: "15 dB or more over the background, nothing taken off",
  "upper-bound": "too close to the background: the build is at most this loud",
  "no-background": "no background read: the build is at most this loud",
};

/** What a difference in decibels means to a listener (common practice). */
export const loudnessWords = (differenceDb: number): string => {
  const size = Math.abs(differenceDb);
  const louder = differenceDb > 0 ? "louder" : "quieter";
  if (size < 1) return "no difference an ear would notice";
  if (size < 3) return `${louder}, noticed only side by side`;
  if (size < 5) return `${louder}, just noticed on its own`;
  if (size < 8) return `clearly ${louder}`;
  return size < 15 ? `about ${differenceDb > 0 ? "twice" : "half"} as loud` : `far ${louder}`;
};

/** From this level on, long exposure is a matter for occupational rules. */
export const hearingLevelDba = 85;
export const hearingCaution =
  "Long exposure above 85 dB(A) can harm hearing. Local occupational rules say for how long; protect your ears.";

/** A meter of the common grade (class 2) read within its stated conditions: half-width of what it may be off (common practice). */
export const meterAccuracyDb = 1.5;

export type NoiseUncertainty = Readonly<{
  /** Standard uncertainty of the readings' scatter, of the background's part in it, and of the meter. */
  readingsDb: number | null;
  meterDb: number;
  /** How much more a wrong reading weighs once a background has been taken out. */
  magnification: number;
  degreesOfFreedom: number | null;
}>;

/** How sure a corrected level is; the scatter is unknown from a single reading. */
export const noiseUncertainty = (reading: Readings, accuracyDb = meterAccuracyDb): NoiseUncertainty => {
  const n = reading.levelsDba.length;
  const magnification = magnificationOf(reading);
  const scatter = n < 2 ? null : deviation(reading.levelsDba) / Math.sqrt(n);
  return {
    readingsDb: scatter === null ? null : scatter * magnification,
    meterDb: accuracyDb / Math.sqrt(3),
    magnification,
    degreesOfFreedom: n < 2 ? null : n - 1,
  };
};

/** The slope of the corrected level against the level read. */
const magnificationOf = (reading: Readings): number => {
  const { correction, meanDba } = noiseFindings(reading);
  if (correction !== "applied" || reading.backgroundDba === null) return 1;
  return 1 / (1 - 10 ** (-(meanDba - reading.backgroundDba) / 10));
};

const deviation = (values: readonly number[]): number => {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  return Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (values.length - 1));
};
