import { describe, expect, it } from "vitest";
import { automaticFrontierOf } from "../../../server/bench/frontier/automaticFrontier.ts";
import type { OrderedTry } from "../../../server/bench/frontier/evidence.ts";
import type { EvidenceRow } from "../../../server/bench/things/evidenceRow.ts";
import { aRow, asking } from "../../support/frontierRows.ts";

const auto = (more: Partial<EvidenceRow> = {}): OrderedTry => ({ ...aRow(more), voltageMv: null });
const far = (...rows: readonly OrderedTry[]) => automaticFrontierOf({ ...asking([]), rows });

describe("how far the clock goes on automatic voltage", () => {
  it("is told by what ran so, and by nothing that ran at a voltage that was set", () => {
    const found = far(auto(), auto({ clockMhz: 4700, outcome: "freeze" }), aRow({ clockMhz: 5000 }));
    expect(found).toMatchObject({ heldMhz: 4600, lowestCrashMhz: 4700, attempts: 2 });
    expect(found).not.toHaveProperty("voltageMv");
    expect(far(aRow({ clockMhz: 5000 }))).toBeNull();
    expect(far({ ...auto(), clockMhz: null, offset: -20 })).toBeNull();
  });

  it("comes with the voltages read under load at the held clock, place by place", () => {
    const read = (
      loadVoltageMv: number | null,
      voltageReadAt: EvidenceRow["voltageReadAt"],
      clockMhz = 4600,
    ) => auto({ clockMhz, loadVoltageMv, voltageReadAt });
    const found = far(
      read(1205, "chip"),
      read(1190, "chip"),
      read(1230, "probe"),
      read(null, "board"),
      read(1150, "chip", 4500),
      { ...read(1180, "chip"), outcome: "freeze", durationS: 1, clockMhz: 4900 },
    );
    expect(found?.loadVoltages).toEqual([
      { readAt: "chip", lowMv: 1190, highMv: 1205 },
      { readAt: "probe", lowMv: 1230, highMv: 1230 },
    ]);
  });
});
