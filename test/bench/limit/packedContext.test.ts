import { describe, expect, it } from "vitest";
import { type PackedContext, packedContext, unpacked } from "../../../server/bench/limit/packedContext.ts";
import { evidenceRow, testChip, testWorkload } from "../../support/evidenceRows.ts";

describe("packedContext(context)", () => {
  const rows = (count: number) =>
    Array.from({ length: count }, () => evidenceRow({ ambientC: null, loadTempC: 71.4 }));
  const context = {
    chip: testChip(),
    hottestAmbientC: 30,
    rows: rows(600),
    workloads: [testWorkload("all-core")],
    otherBuilds: [
      {
        ...{ name: "Frame", rows: rows(3) },
        placed: [{ row: evidenceRow(), readDeviationMv: 4, droopDeviationMv: 3, droop: "all-core" }],
      },
      { name: "Cupboard", rows: [] },
    ],
    seed: 7,
  };

  function packed(): { texts: PackedContext; turns: number } {
    const packing = packedContext(context);
    for (let turns = 0; ; turns += 1) {
      const { done, value } = packing.next();
      if (done) return { texts: value, turns };
    }
  }

  it("is unpacked to the very same", () => {
    expect(unpacked(packed().texts)).toEqual(context);
  });

  it("packs some hundred rows a turn, in one text each", () => {
    const { texts, turns } = packed();
    expect([turns, texts.rows.length, texts.otherBuilds.map((other) => other.rows.length)]).toEqual([
      4,
      3,
      [1, 0],
    ]);
  });
});
