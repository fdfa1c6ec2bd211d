import { describe, expect, it } from "vitest";
import { knobsOfBoth, withKnobsSaid } from "../../server/answers/knobsSaid.ts";
import type { TaggedRun } from "../../server/bench/runs/runRow.ts";
import type { Chip } from "../../server/bench/things/chip.ts";
import { lens3 } from "../../server/demo/imageCard.ts";
import { run } from "../bench/comparison/benchDay.ts";
import { testChip } from "../support/evidenceRows.ts";

const ran = (over: Partial<TaggedRun>): TaggedRun => ({
  ...run({ id: "run", mountId: "m" }),
  ...{ voltageReadAt: null, loadLine: null, tags: [] },
  ...over,
});

describe("what an attempt by offset says nothing of", () => {
  it("stands as usual, what it says stays, and an attempt by clock is left as it is", () => {
    const runs = [
      ran({ offset: 120 }),
      ran({ offset: 120, knobs: { "power-limit": 110, bench: "b" } }),
      ran({}),
    ];
    const said = withKnobsSaid(runs, lens3.knobs);
    expect(said.map(({ knobs }) => knobs)).toEqual([
      { "power-limit": 100, "memory-offset": 0 },
      { "power-limit": 110, "memory-offset": 0, bench: "b" },
      undefined,
    ]);
    expect(withKnobsSaid(runs, lens3.knobs)).toBe(said);
    expect(
      withKnobsSaid(
        runs,
        lens3.knobs.map((knob) => ({ ...knob, usual: 5 })),
      )[0]!.knobs,
    ).toEqual({
      "power-limit": 5,
      "memory-offset": 5,
    });
    expect(withKnobsSaid(runs, [])).toBe(runs);
  });

  it("is asked of the knobs of both chips, each by its own usual first; of one set by clock of none", () => {
    const card = { ...testChip(), ...lens3 } as Chip;
    const [limit, memory] = lens3.knobs as [(typeof lens3.knobs)[0], (typeof lens3.knobs)[0]];
    const other = {
      ...card,
      knobs: [
        { ...limit, usual: 110 },
        { ...memory, id: "fan" },
      ],
    };
    expect(knobsOfBoth(card, other).map(({ id, usual }) => [id, usual])).toEqual([
      ["power-limit", 100],
      ["memory-offset", 0],
      ["fan", 0],
    ]);
    expect(knobsOfBoth({ ...card, axis: "clock" }, card)).toEqual([]);
  });
});
