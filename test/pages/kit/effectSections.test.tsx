import { renderToString } from "preact-render-to-string";
import { describe, expect, it } from "vitest";
import { type Effect, effectsThatStand } from "../../../server/bench/comparison/changeEffects.ts";
import { EffectSections } from "../../../server/pages/kit/effectSections.tsx";

const effect = (over: Partial<Effect>): Effect => ({
  ...{ from: "a", to: "b", change: "new paste", measure: "loadRise", unit: "°C", setting: "" },
  ...{ difference: -3, low: -5.8, high: -0.2, verdict: "differs", chance: 0.04 },
  ...{ runs: null, mounts: null, smallerThan: null, wouldDecide: null },
  ...over,
});

const shown = (effects: readonly Effect[], isNamed = false): string =>
  renderToString(
    <EffectSections
      effects={effects}
      head="Change"
      names={new Map()}
      caption="After it less before"
      nothing="no effect"
      standing={new Set(effectsThatStand(effects))}
      isNamed={isNamed}
    />,
  );

const verdictsIn = (html: string): readonly string[] =>
  [...html.matchAll(/data-head="Verdict"[^>]*>([^<]*)</g)].map(([, words]) => words as string);

describe("What a change did, measure by measure", () => {
  const nothing = { verdict: "within-scatter", low: -1, high: 1, chance: 0.6 } as const;
  const effects = [
    effect({}),
    effect({ measure: "noise", difference: -6, low: -8, high: -4, chance: 0.0001 }),
    effect({ measure: "power", ...nothing }),
  ];

  it("says of a row that it differs where it does so with all of them judged together", () => {
    // Of three, Holm asks the second smallest chance to lie under a twentieth by half: 2 × 0.04 is more.
    expect(verdictsIn(shown(effects))).toEqual([
      "differs by itself, not among all",
      "differs",
      "no difference beyond scatter",
    ]);
    expect(shown([effect({})])).toContain(">differs<");
  });

  it("names a change in every table and picture, but for the one that the page has named", () => {
    expect(shown(effects).match(/new paste/g)?.length).toBeGreaterThan(5);
    expect(shown(effects, true)).not.toContain("new paste");
  });
});
