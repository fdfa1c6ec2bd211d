import type { HeatRun } from "../../server/bench/heat/heatReading.ts";

/** Twenty minutes of load that came within a degree of its level after eight. */
export const levelled: HeatRun = {
  ambientC: 22.5,
  load: { fromS: 30, toS: 1230, foundFrom: "power" },
  levelledAtS: 460,
  level: { meanC: 79.94, lowC: 79.6, highC: 80.3, windowS: 180, samples: 181, independent: 8 },
  window: { fromS: 1050, toS: 1230 },
  final: { c: 80.1, lowC: 79.6, highC: 80.6 },
  fit: null,
  cycle: null,
  change: null,
  tellsFromS: null,
  remainderC: 0.2,
  settlesAtS: 500,
  slowS: 180,
  heldBackMhz: null,
  rise: { mid: 57.44, low: 57.1, high: 57.8 },
  resistance: { mid: 0.5222, low: 0.519, high: 0.5255 },
  powerW: 110,
  peakC: 81,
  stepC: 0.1,
  throttled: [],
  gaps: [],
  notes: [],
};
