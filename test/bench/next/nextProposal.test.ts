import { describe, expect, it } from "vitest";
import { purposeOf } from "../../../server/bench/next/nextProposal.ts";
import type { EvidenceRow } from "../../../server/bench/things/evidenceRow.ts";
import { evidenceRow } from "../../support/evidenceRows.ts";

const purpose = (rows: readonly EvidenceRow[], minutes: number) =>
  purposeOf({ question: { rows } } as never, { clockMhz: 4700, voltageMv: 1250, minutes } as never);
const pass = evidenceRow({ clockMhz: 4600 });
const crash = evidenceRow({ clockMhz: 4800, outcome: "freeze" });

describe("purposeOf(desk, trial)", () => {
  it("calls an hour or more a proof, whatever stands beside it", () => {
    expect([60, 480].map((minutes) => purpose([pass, crash], minutes))).toEqual(["prove", "prove"]);
    expect(purpose([], 60)).toBe("prove");
  });

  it("resolves between a pass and a crash at its voltage or its clock, and else screens", () => {
    expect(purpose([pass, crash], 40)).toBe("resolve");
    expect(purpose([pass], 40)).toBe("screen");
    expect(purpose([crash], 40)).toBe("screen");
    const elsewhere = { ...crash, voltageMv: 1300 };
    expect(purpose([pass, elsewhere], 40)).toBe("screen");
    expect(purpose([pass, { ...elsewhere, clockMhz: 4700 }], 40)).toBe("resolve");
  });
});
