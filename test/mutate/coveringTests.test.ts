import { describe, expect, it } from "vitest";
import { coveringTests, type TestRan } from "./coveringTests.ts";

const all: readonly TestRan[] = [
  { test: "test/slow.test.ts", ran: { "server/some.ts": ["inner", "outer"] }, tookMs: 50_000 },
  { test: "test/quick.test.ts", ran: { "server/some.ts": ["outer"] }, tookMs: 10 },
  { test: "test/near.test.ts", ran: { "server/some.ts": ["outer"] }, tookMs: 20_000 },
  { test: "test/other.test.ts", ran: { "server/other.ts": ["outer"] }, tookMs: 1 },
];
const asked = (file: string, within: readonly string[], nearest: readonly string[] = []) =>
  coveringTests({ file, within }, all, nearest).inTime;

describe("coveringTests(mutant, all, nearest)", () => {
  it("gives those that run the innermost function that any of them runs", () => {
    expect(asked("server/some.ts", ["inner", "outer"])).toEqual(["test/slow.test.ts"]);
    expect(asked("server/some.ts", ["never", "outer"])).toContain("test/quick.test.ts");
  });
  it("asks those near first, then the quickest, and leaves out what there is no time for", () => {
    expect(asked("server/some.ts", ["outer"], ["test/near.test.ts"])).toEqual([
      "test/near.test.ts",
      "test/quick.test.ts",
    ]);
    expect(asked("server/some.ts", ["outer"], ["test/slow.test.ts", "test/near.test.ts"])).toEqual([
      "test/slow.test.ts",
      "test/quick.test.ts",
    ]);
    expect(asked("server/some.ts", ["outer"])).toEqual(["test/quick.test.ts", "test/near.test.ts"]);
  });
  it("asks the nearest at last where it was not seen to run the function: a thread may", () => {
    const near = ["test/failing.test.ts", "test/other.test.ts", "test/near.test.ts"];
    expect(asked("server/some.ts", ["inner", "outer"], near)).toEqual([
      "test/slow.test.ts",
      "test/other.test.ts",
    ]);
  });
  it("takes any that run something of the file for what stands in no function", () => {
    expect(asked("server/other.ts", [])).toEqual(["test/other.test.ts"]);
  });
  it("keeps for last the held answers that there was no time for", () => {
    const held = {
      test: "test/unchanged/held.test.ts",
      ran: { "server/some.ts": ["outer"] },
      tookMs: 50_000,
    };
    const late = (within: readonly string[], of: readonly TestRan[]) =>
      coveringTests({ file: "server/some.ts", within }, of, ["test/near.test.ts"]).late;
    expect(late(["outer"], [...all, held])).toEqual([held.test]);
    expect(late(["outer"], [...all, { ...held, tookMs: 10 }])).toEqual([]);
    expect(late(["inner", "outer"], [...all, held])).toEqual([]);
  });
  it("takes the nearest that passed where none is known to run it", () => {
    expect(asked("server/third.ts", ["a"], ["test/failing.test.ts", "test/other.test.ts"])).toEqual([
      "test/other.test.ts",
    ]);
  });
});
