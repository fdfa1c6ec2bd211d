import { describe, expect, it } from "vitest";
import { printedInTurn, printOf } from "../../server/answers/prints.ts";

/** Rows that count how often they were written as text. */
function countedRows(count: number) {
  let written = 0;
  const rowOf = (clockMhz: number) => ({
    toJSON: () => {
      written += 1;
      return { clockMhz };
    },
  });
  const rows = Array.from({ length: count }, (_, i) => rowOf(4000 + i));
  return { rows, rowOf, written: () => written };
}
const plainRows = (count: number) => Array.from({ length: count }, (_, i) => ({ clockMhz: 4000 + i }));

describe("printOf", () => {
  it("is the same for what says the same, read once or anew, and another for anything else", () => {
    const lists = [0, 1, 49, 50, 51, 249, 250, 251, 500, 760].map(plainRows);
    const prints = lists.map((rows) => printOf({ rows }));
    expect(new Set(prints).size).toBe(lists.length);
    expect(lists.map((rows) => printOf({ rows: structuredClone(rows) }))).toEqual(prints);
    const changed = plainRows(760).with(255, { clockMhz: 1 });
    expect(printOf({ rows: changed })).not.toBe(prints.at(-1));
    expect(printOf({ rows: plainRows(760), goal: "clock" })).not.toBe(prints.at(-1));
  });

  it("writes of a list that grew, or changed, only the blocks anew in which it did", () => {
    const { rows, rowOf, written } = countedRows(740);
    printOf(rows);
    printOf([...rows]);
    expect(written()).toBe(740);
    const grown = [...rows, rowOf(9000)];
    const afresh = [...plainRows(740), { clockMhz: 9000 }];
    expect(printOf(grown)).toBe(printOf(afresh));
    expect(written()).toBe(740 + 241);
    const changed = grown.with(301, rowOf(1));
    expect(printOf(changed)).toBe(printOf(afresh.with(301, { clockMhz: 1 })));
    expect(written()).toBe(740 + 241 + 250);
    const shorter = changed.slice(0, 620);
    expect(printOf(shorter)).toBe(printOf(afresh.with(301, { clockMhz: 1 }).slice(0, 620)));
    expect(written()).toBe(740 + 241 + 250 + 120);
  });

  it("takes a turn for each block it writes", () => {
    const { rows, rowOf } = countedRows(740);
    expect([...printedInTurn(rows)]).toHaveLength(3);
    expect([...printedInTurn([...rows, rowOf(1)])]).toHaveLength(1);
    expect([...printedInTurn(rows)]).toHaveLength(0);
  });
});
