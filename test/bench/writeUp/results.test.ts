import { describe, expect, it } from "vitest";
import type { Account } from "../../../server/bench/writeUp/account.ts";
import { differences } from "../../../server/bench/writeUp/results.ts";

const part = (name: string, a: number, b: number) => ({
  ...{ part: name, a, b, difference: b - a, bracket: { low: b - a - 20, high: b - a + 20 } },
  ...{ limitsApart: b - a, low: b - a - 9, high: b - a + 9, verdict: "differs" },
});

/** The rows of the table of offsets, by their first cell and the difference. */
function rowsOf(offsets: object): readonly (readonly unknown[])[] {
  const comparison = {
    ...{ sameVoltage: [], sameSetting: [], score: [], noise: [], together: [], clockUnit: "MHz" },
    clock: { differenceMhz: null, because: "" },
    offsets: { axis: { name: "Undervolt", unit: "mV" }, because: "", ...offsets },
  };
  const compared = { aName: "Shelf", bName: "Duct", comparison, equalLoudness: null };
  const blocks = differences({} as Account, compared as never, 0) as readonly {
    as: string;
    rows?: string[][];
  }[];
  const table = blocks.find(({ as }) => as === "table");
  return (table?.rows ?? []).map((cells) => [cells[0], cells[3]]);
}

describe("the offsets of two builds in the account", () => {
  const rows = [part("core 1", -40, -70), part("core 2", -30, -50)];
  const judged = { difference: -25, low: -34, high: -16, verdict: "differs" };

  it("end with the one difference over all parts, which is what is judged", () => {
    expect(rowsOf({ rows, ...judged, parts: 2 })).toEqual([
      ["core 1", "−30"],
      ["core 2", "−20"],
      ["all", "−25"],
    ]);
  });

  it("end with the last part where there is no such difference, or it is that of one part", () => {
    expect(rowsOf({ rows, ...judged, difference: null, parts: 2 })).toHaveLength(2);
    expect(rowsOf({ rows: rows.slice(1), ...judged, parts: 1 })).toHaveLength(1);
  });
});
