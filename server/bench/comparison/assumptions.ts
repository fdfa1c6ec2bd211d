import type { RunMeasure } from "../runs/comparedRun.ts";

/** What a comparison takes as given, all of it the tester's to change. */
export type Assumptions = Readonly<{
  /** Half-widths of what each chip's sensor may be off. */
  sensorAccuracyC: readonly [number, number];
  /** One chip is one sensor, and most of its error falls out of a difference. */
  sameSensor: boolean;
  /** The core supply's sensor sits on the board: one board, one sensor. */
  sameSupplySensor: boolean;
  /** Half-width of what the room thermometer may be off. */
  roomAccuracyC: number;
  /** The scatter between mounts as the tester states it, where it was not measured. */
  mountScatterC: number | null;
  /** The tester says that the cooler was not taken off between the two builds. */
  coolerStayedOn: boolean;
  /** Differences smaller than these are not worth having, real or not. */
  worthHaving: Readonly<Partial<Record<RunMeasure | "noise" | "clock", number>>>;
  clockStepMhz: number;
}>;

/** Common practice: a room thermometer good to half a degree, one clock step, and 1 °C or 1 dB before anybody cares. */
export const usualAssumptions: Assumptions = {
  sensorAccuracyC: [1, 1],
  sameSensor: true,
  sameSupplySensor: false,
  roomAccuracyC: 0.5,
  mountScatterC: null,
  coolerStayedOn: false,
  worthHaving: { loadRise: 1, peakRise: 1, idleRise: 1, supplyRise: 1, noise: 1 },
  clockStepMhz: 25,
};

/** The part of a sensor's error that is taken not to cancel where both builds were read by the same one. */
export const sameSensorShare = 0.2;
/** The part of the room thermometer's error that is taken not to cancel between two builds. */
export const sameThermometerShare = 0.5;
/** A scatter stated from experience is taken to be known to about a quarter, which is 8 degrees of freedom (GUM G.4.2). */
export const statedDegreesOfFreedom = 8;
/** Coolers put on again differ by this much (common practice); said where nothing is known, never reckoned with. */
export const usualMountScatterC = [1, 3] as const;

/** A half-width within which every value is as likely, as a standard uncertainty (GUM 4.3.7). */
export const standardOfHalfWidth = (halfWidth: number): number => halfWidth / Math.sqrt(3);
