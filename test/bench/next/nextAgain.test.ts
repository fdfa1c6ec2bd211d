import { describe, expect, it } from "vitest";
import { ask, proposed } from "../../support/askNext.ts";
import { evidenceRow } from "../../support/evidenceRows.ts";

describe("the same again", () => {
  const rows = [
    evidenceRow({ id: "passed", clockMhz: 5000, loadTempC: 75 }),
    evidenceRow({ id: "stopped", clockMhz: 5050, outcome: "stopped", durationS: 120 }),
    evidenceRow({ id: "froze", clockMhz: 5150, outcome: "freeze", durationS: 900, loadTempC: 76 }),
  ];

  it("is only of a failure: of a pass, of one broken off or of none the next attempt is what it would be", () => {
    const next = ask(rows);
    for (const again of ["passed", "stopped", "nobody's"]) expect(ask(rows, { again }), again).toEqual(next);
    expect(proposed(ask(rows, { again: "froze" }))).toMatchObject({ clockMhz: 5150, purpose: "resolve" });
  });

  it("runs a quarter longer than the failure took, of the minutes that are proposed, where it likely passes, else ten minutes", () => {
    const again = (durationS: number) => {
      const odd = evidenceRow({ id: "odd", clockMhz: 4700, outcome: "freeze", durationS });
      return proposed(ask([...rows, odd], { again: "odd" })).durationS;
    };
    expect([300, 900, 1600, 2400].map(again)).toEqual([600, 1200, 2400, 3600]);
    const hard = [...rows, evidenceRow({ id: "hard", clockMhz: 5600, outcome: "freeze", durationS: 900 })];
    expect(proposed(ask(hard, { again: "hard" }))).toMatchObject({ clockMhz: 5600, durationS: 600 });
  });
});
