import { expect, it } from "vitest";
import { standingTogether } from "../../../server/bench/comparison/together.ts";

/** A difference of ten whose normal interval leaves zero out by so many standard errors. */
const apart = (errors: number) => {
  const half = (1.959964 * 10) / errors;
  const verdict = errors > 1.959964 ? ("differs" as const) : ("within-scatter" as const);
  return { difference: 10, low: 10 - half, high: 10 + half, budget: [], verdict };
};

// Two-sided normal chances by handbook: 2.054 errors 0.040, 2.326 errors 0.020, 3.291 errors 0.001.
it("rows that nothing sums up differ where they do with all of them judged together", () => {
  const barely = apart(2.054);
  expect(standingTogether([barely])).toEqual(new Set([barely]));
  expect(standingTogether([barely, apart(1)]).size).toBe(0);
  const surely = apart(3.291);
  const likely = apart(2.326);
  // Holm: 0.001 · 3 and 0.020 · 2 hold, 0.6 does not.
  expect(standingTogether([likely, surely, apart(0.5)])).toEqual(new Set([likely, surely]));
  // Holm goes no further than the first that fails: 0.040 · 2 after 0.001 · 3.
  expect(standingTogether([barely, surely, apart(1)])).toEqual(new Set([surely]));
  const unknown = { ...apart(3.291), low: null, high: null, verdict: "not-enough" as const };
  expect(standingTogether([unknown, surely])).toEqual(new Set([surely]));
});
