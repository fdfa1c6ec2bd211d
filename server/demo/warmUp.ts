import type { SimulatedCooling } from "./simulatedBench.ts";

/** How a temperature climbs from its start to where it levels out: a fast and a slow exponential, over a drifting room. */
export type WarmUp = Readonly<{
  cooling: SimulatedCooling;
  startC: number;
  steadyC: number;
  driftCPerH: number;
}>;

export function temperatureAt(warmUp: WarmUp, loadS: number): number {
  const { fastShare, fastS, slowS } = warmUp.cooling;
  const missing = fastShare * Math.exp(-loadS / fastS) + (1 - fastShare) * Math.exp(-loadS / slowS);
  return warmUp.steadyC - (warmUp.steadyC - warmUp.startC) * missing + (warmUp.driftCPerH * loadS) / 3600;
}

/** Mean temperature between two times under load. */
export function meanTemperature(warmUp: WarmUp, fromS: number, toS: number): number {
  const { fastShare, fastS, slowS } = warmUp.cooling;
  const mean = (tau: number) => (tau * (Math.exp(-fromS / tau) - Math.exp(-toS / tau))) / (toS - fromS);
  const missing = fastShare * mean(fastS) + (1 - fastShare) * mean(slowS);
  const drift = (warmUp.driftCPerH * (fromS + toS)) / 7200;
  return warmUp.steadyC - (warmUp.steadyC - warmUp.startC) * missing + drift;
}

/** When it first reaches a temperature, to the second, or undefined if not within the time given. */
export function reachedAtS(warmUp: WarmUp, tempC: number, withinS: number): number | undefined {
  if (temperatureAt(warmUp, withinS) < tempC) return undefined;
  let low = 0;
  let high = withinS;
  while (high - low > 0.5) {
    const middle = (low + high) / 2;
    if (temperatureAt(warmUp, middle) >= tempC) high = middle;
    else low = middle;
  }
  return high;
}
