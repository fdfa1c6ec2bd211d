/** Volts with the digits a voltage deserves: three decimals, a fourth or fifth only where it says something. */
export function volts(mv: number): string {
  const decimals = Number.isInteger(mv) ? 3 : Number.isInteger(mv * 10) ? 4 : 5;
  return `${(mv / 1000).toFixed(decimals)} V`;
}

/** A clock to 1 kHz, without idle zeros. */
export const megahertz = (mhz: number): string => `${Number(mhz.toFixed(3))} MHz`;
