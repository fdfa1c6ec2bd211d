import type { FrontierWarning } from "../frontier/frontierWarnings.ts";
import { volts } from "../things/words.ts";
import { inWords } from "./figures.ts";

/** Each kind of warning once, at the highest voltage it is given for, with the others named. Contested claims stand in a list of their own. */
export function warningsTold(warnings: readonly FrontierWarning[]): string[] {
  const byKind = new Map<FrontierWarning["about"], FrontierWarning[]>();
  for (const warning of warnings.filter(({ about }) => about !== "contested"))
    byKind.set(warning.about, [...(byKind.get(warning.about) ?? []), warning]);
  return [...byKind.values()].map((same) => {
    const inOrder = [...same].sort((a, b) => b.voltageMv - a.voltageMv);
    const others = [...new Set(inOrder.map(({ voltageMv }) => voltageMv))].slice(1).reverse();
    const also = others.length === 0 ? "" : ` Likewise at ${inWords(others.map(volts))}.`;
    return `${inOrder[0]?.message ?? ""}${also}`;
  });
}
