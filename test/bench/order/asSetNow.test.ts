import { describe, expect, it } from "vitest";
import type { OrderedRow } from "../../../server/bench/frontier/evidence.ts";
import { speakingAsSetNow } from "../../../server/bench/order/asSetNow.ts";
import { plainTerms } from "../../../server/bench/order/terms.ts";
import { aRow } from "../../support/frontierRows.ts";

const fabric = { id: "fabric", harder: "up", belongs: "setting", usual: 1800 } as const;
const terms = { ...plainTerms, knobs: [fabric] };
let hour = 0;
const run = (at: number | null, differing: Partial<OrderedRow> = {}): OrderedRow => {
  hour += 1;
  const startedAt = new Date(Date.UTC(2031, 4, 1, hour)).toISOString();
  return {
    ...aRow({ startedAt, id: `at-${hour}` }),
    knobs: at === null ? null : { fabric: at },
    ...differing,
  };
};
const crash = (at: number) => run(at, { outcome: "freeze", durationS: 60 });

describe("the attempts that speak of a build as its knobs stand now", () => {
  it("are all of them, the same array, where nothing is a knob of the setting", () => {
    const rows = [run(1800), crash(1900), run(1867)];
    expect(speakingAsSetNow(rows, plainTerms)).toBe(rows);
    expect(speakingAsSetNow([], terms)).toEqual([]);
  });

  it("are those that survived as hard or harder, and those that failed as hard or easier", () => {
    const [easierPass, easierCrash, harderPass, harderCrash, now] = [
      run(1800),
      crash(1800),
      run(1933),
      crash(1933),
      run(1867),
    ];
    const rows = [easierPass, easierCrash, harderPass, harderCrash, now];
    expect(speakingAsSetNow(rows, terms)).toEqual([easierCrash, harderPass, now]);
    expect(speakingAsSetNow([...rows, run(null)], terms).map(({ id }) => id)).toEqual(
      [easierPass, easierCrash, harderPass, now].map(({ id }) => id).concat(`at-${hour}`),
    );
  });

  it("leave out what the cold explains and runs whose setting is in doubt", () => {
    const cold = run(1800, { outcome: "freeze", lowestTempC: -80 });
    const doubtful = run(1800, { settingReadBack: "differs" });
    const now = run(1800);
    expect(speakingAsSetNow([cold, doubtful, now], { ...terms, coldBelowC: -70 })).toEqual([now]);
  });
});
