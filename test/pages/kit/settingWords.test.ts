import { expect, it } from "vitest";
import { offsetsInShort, offsetsSpan } from "../../../server/pages/kit/settingWords.tsx";

it("offsetsInShort(offsets, unit) tells a list from its least to its most, and one value once", () => {
  expect(offsetsInShort({ a: -25, b: -45, c: 0 }, "mV")).toBe("−45 to 0 mV, 3 parts");
  expect(offsetsInShort({ a: 0, b: 0 }, "mV")).toBe("0 mV, 2 parts");
  expect(offsetsInShort({ a: 3 }, "counts")).toBe("+3, 1 part");
  expect(offsetsSpan({ a: -2, b: 15 }, "MHz")).toBe("−2 to +15 MHz");
});
