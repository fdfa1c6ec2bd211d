import { describe, expect, it } from "vitest";
import { type Exit, type ExitSeen, endingOfExit } from "../../server/attend/ending.ts";

const outcomeOf = (exit: Exit, more: Partial<ExitSeen> = {}) =>
  endingOfExit({ exit, ranS: 100, hasWorked: true, memoryRanOut: false, meanings: new Map(), ...more })
    .outcome;

describe("a load that ends before its time", () => {
  it("closed itself only where it died of a fault of its own", () => {
    for (const signal of ["SIGSEGV", "SIGILL", "SIGBUS"]) expect(outcomeOf({ signal })).toBe("app-closed");
    // A shell passes on what ended the load as 128 and the signal (POSIX): 11, 4 and 7 on this system.
    for (const code of [139, 132, 135]) expect(outcomeOf({ code })).toBe("app-closed");
    for (const signal of ["SIGKILL", "SIGTERM", "SIGINT", "SIGHUP"])
      expect(outcomeOf({ signal })).toBe("disturbed");
    for (const code of [1, 2, 126, 127, 137, 143]) expect(outcomeOf({ code })).toBe("disturbed");
    expect(outcomeOf({ notStarted: "ENOENT" })).toBe("disturbed");
    expect(outcomeOf({ code: 0 })).toBe("stopped");
  });

  it("means what the tester said its exit means", () => {
    const meanings = new Map([[1, "wrong-result"] as const]);
    expect(outcomeOf({ code: 1 }, { meanings })).toBe("wrong-result");
    expect(outcomeOf({ code: 2 }, { meanings })).toBe("disturbed");
  });

  it("in its first five seconds says nothing, unless it has worked here before", () => {
    const early = { ranS: 4, hasWorked: false, meanings: new Map([[1, "wrong-result"] as const]) };
    expect(outcomeOf({ signal: "SIGSEGV" }, early)).toBe("disturbed");
    expect(outcomeOf({ code: 1 }, early)).toBe("disturbed");
    expect(outcomeOf({ signal: "SIGSEGV" }, { ...early, hasWorked: true })).toBe("app-closed");
    expect(outcomeOf({ signal: "SIGSEGV" }, { ...early, ranS: 6 })).toBe("app-closed");
  });

  it("is no fault where the memory ran out", () => {
    expect(outcomeOf({ signal: "SIGKILL" }, { memoryRanOut: true })).toBe("disturbed");
    expect(outcomeOf({ code: 3 }, { memoryRanOut: true })).toBe("disturbed");
  });
});
