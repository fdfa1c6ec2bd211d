/** A cooler warms up in two steps, the chip's own within seconds and the heatsink's within minutes (common practice). */
const quickShare = 0.6;
const quickMinutes = 0.2;
const slowMinutes = 3;

/** An idle chip already stands this share of the rise above the room (common practice). */
export const idleShareOfRise = 0.15;

/** The share of the way from the starting to the final temperature that is still to come after so many minutes. */
export const shareToCome = (minutes: number): number =>
  quickShare * Math.exp(-minutes / quickMinutes) + (1 - quickShare) * Math.exp(-minutes / slowMinutes);
