/**
 * The hour of a day as it is written, with its half ("am", "P.M.") or without one; undefined where they contradict each
 * other, as in 18:30 am. An afternoon's hour with its half behind it is what loggers write that mean both (common practice).
 */
export function hourOfDay(hours: string, half: string | undefined): number | undefined {
  const hour = Number(hours);
  if (half === undefined) return hour;
  const isLate = /^p/i.test(half);
  if (hour > (isLate ? 23 : 12)) return undefined;
  return (hour % 12) + (isLate ? 12 : 0);
}
