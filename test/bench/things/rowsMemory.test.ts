import { expect, it } from "vitest";
import { rowsMemory } from "../../../server/bench/things/rowsMemory.ts";

it("works out once what it is asked of the very same rows by the same key", () => {
  const remembered = rowsMemory<number>();
  const [rows, alike] = [
    [1, 2],
    [1, 2],
  ];
  let worked = 0;
  const ask = (of: readonly number[], key: unknown) => remembered(of, key, () => (worked += 1));
  expect([ask(rows, "a"), ask(rows, "a"), ask(alike, "a"), ask(rows, "b"), ask(rows, "b")]).toEqual([
    1, 1, 2, 3, 3,
  ]);
});

it("works out anew what it is asked of rows that have grown since", () => {
  const remembered = rowsMemory<number>();
  const rows = [1, 2];
  const count = () => remembered(rows, null, () => rows.length);
  expect(count()).toBe(2);
  rows.push(3);
  expect(count()).toBe(3);
});
