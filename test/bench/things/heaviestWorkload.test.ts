import { describe, expect, it } from "vitest";
import { heaviestOf } from "../../../server/bench/things/heaviestWorkload.ts";
import { testWorkload } from "../../support/evidenceRows.ts";

const load = (id: string, kind: Parameters<typeof testWorkload>[1] = {}) => testWorkload(id, kind);
const all = new Set(["a", "b", "c"]);

describe("heaviestOf(workloads, tried)", () => {
  it("goes by severity where both have one, else by how heavy such loads usually are", () => {
    const [light, heavy] = [load("a", { kind: "everyday" }), load("b", { kind: "vector" })];
    expect(heaviestOf([light, heavy], all)).toBe("b");
    expect(heaviestOf([heavy, light], all)).toBe("b");
    expect(
      heaviestOf(
        [
          { ...light, severity: 9 },
          { ...heavy, severity: 3 },
        ],
        all,
      ),
    ).toBe("a");
    expect(heaviestOf([{ ...light, severity: 9 }, heavy], all)).toBe("b");
  });

  it("takes those that were tried before all others, and never an idle one", () => {
    const loads = [load("a", { kind: "vector" }), load("b"), load("c", { kind: "idle", severity: 10 })];
    expect(heaviestOf(loads, new Set(["b"]))).toBe("b");
    expect(heaviestOf(loads, new Set())).toBe("a");
    expect(heaviestOf(loads, new Set(["c"]))).toBe("a");
  });

  it("takes the first by name of those that are alike, and what was tried where no load is written down", () => {
    expect(heaviestOf([load("b"), load("a")], all)).toBe("a");
    expect(heaviestOf([], new Set(["gone"]))).toBe("gone");
    expect(heaviestOf([], new Set())).toBeNull();
  });
});
