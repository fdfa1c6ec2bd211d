import { describe, expect, it } from "vitest";
import { silenceOf } from "../../../server/bench/order/loadsThatSpeak.ts";
import { type WorkloadKind, workloadKinds } from "../../../server/bench/things/workload.ts";
import { testWorkload } from "../../support/evidenceRows.ts";

const allCore = testWorkload("all-core", { kind: "all-core", severity: 9 });
const elsewhere: readonly WorkloadKind[] = ["single-core", "idle", "transition", "memory", "graphics"];

describe("silenceOf(load, outcome, question)", () => {
  it.each(workloadKinds)(
    "along an offset lets an all-core pass speak of %s only where both run alike",
    (kind) => {
      const asked = testWorkload("asked", { kind, severity: 1 });
      const of = (outcome: "pass" | "stopped" | "crash", alongCurve: boolean) =>
        silenceOf(allCore, outcome, { asked, alongCurve });
      const expected = elsewhere.includes(kind) ? "otherWorkload" : null;
      expect([of("pass", true), of("stopped", true), of("crash", true)]).toEqual([expected, expected, null]);
      expect([of("pass", false), of("crash", false)]).toEqual([null, null]);
      expect(silenceOf(asked, "pass", { asked: allCore, alongCurve: false })).not.toBeNull();
    },
  );

  it("counts a crash at idle whatever is asked, and no pass there, also where the idle load is asked about", () => {
    const idle = testWorkload("idle", { kind: "idle", severity: null });
    for (const alongCurve of [true, false]) {
      for (const asked of [null, idle]) {
        expect(silenceOf(idle, "crash", { asked, alongCurve })).toBeNull();
        expect(silenceOf(idle, "pass", { asked, alongCurve })).toBe("idle");
        expect(silenceOf(idle, "stopped", { asked, alongCurve })).toBe("idle");
      }
      expect(silenceOf(idle, "crash", { asked: allCore, alongCurve })).toBeNull();
    }
  });
});
