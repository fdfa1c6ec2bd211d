/** Volts with the digits a voltage deserves: three decimals, a fourth or fifth only where it says something. */
export function volts(mv: number): string {
  const decimals = Number.isInteger(mv) ? 3 : Number.isInteger(mv * 10) ? 4 : 5;
  return `${(mv / 1000).toFixed(decimals)} V`;
}

/** A clock to 1 kHz, without idle zeros. */
export const megahertz = (mhz: number): string => `${Number(mhz.toFixed(3))} MHz`;

/** An answer whose sentences and units tell its clocks in MHz, told in the unit of its chip. */
export function inClockUnit<Answer>(answer: Answer, unit: "MHz" | "MT/s"): Answer {
  return unit === "MHz" ? answer : (retold(answer, unit) as Answer);
}

function retold(value: unknown, unit: string): unknown {
  if (value === "MHz") return unit;
  if (typeof value === "string") return value.replace(/(\d[\s\u00a0])MHz\b/g, `$1${unit}`);
  if (Array.isArray(value)) return value.map((one) => retold(one, unit));
  return value !== null && typeof value === "object"
    ? Object.fromEntries(Object.entries(value).map(([name, one]) => [name, retold(one, unit)]))
    : value;
}
