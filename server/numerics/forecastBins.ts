/** Readings gathered into bins: the mean x, the width, how many readings, and their mean. */
export type ForecastBin = Readonly<{ centre: number; width: number; count: number; mean: number }>;

const narrowest = 10;
const fineBins = 30;
const coarseBins = 30;

/**
 * Ten x wide at first, wider where the run is long or the readings are few; a bin with hardly a reading is left out.
 * Once the quick part is over, sixty bins tell a slow curve as well as a thousand.
 */
export function forecastBinsOf(x: ArrayLike<number>, y: ArrayLike<number>): readonly ForecastBin[] {
  const span = (x[x.length - 1] as number) - (x[0] as number);
  const spacing = span / Math.max(1, x.length - 1);
  const fine = Math.max(narrowest, 4 * spacing);
  const coarse = Math.max(fine, (span - fineBins * fine) / coarseBins);
  const fineEnd = fineBins * fine;
  const enough = Math.min(4, Math.max(2, (0.4 * fine) / Math.max(spacing, 1e-9)));
  const bins: ForecastBin[] = [];
  let from = 0;
  while (from < x.length) {
    const place = binAt(x[from] as number, fine, fineEnd, coarse);
    let to = from;
    let sumX = 0;
    let sumY = 0;
    for (; to < x.length && (x[to] as number) < place.end; to += 1) {
      sumX += x[to] as number;
      sumY += y[to] as number;
    }
    const count = Math.max(1, to - from);
    if (to - from >= enough)
      bins.push({ centre: sumX / count, width: place.width, count, mean: sumY / count });
    from += count;
  }
  return bins;
}

function binAt(x: number, fine: number, fineEnd: number, coarse: number): { width: number; end: number } {
  if (x < fineEnd) return { width: fine, end: (Math.floor(x / fine) + 1) * fine };
  return { width: coarse, end: fineEnd + (Math.floor((x - fineEnd) / coarse) + 1) * coarse };
}
