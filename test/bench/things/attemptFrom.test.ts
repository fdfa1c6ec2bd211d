import { describe, expect, it } from "vitest";
import type { AttemptDraft } from "../../../server/bench/things/attempt.ts";
import { assertBegun, attemptFrom } from "../../../server/bench/things/attemptFrom.ts";
import { Refusal } from "../../../server/bench/things/refusal.ts";

const now = "2031-05-04T12:00:00.000Z";
const draft = (more: Partial<AttemptDraft> = {}): AttemptDraft =>
  ({
    ...{ workloadId: "load", clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 },
    ...more,
  }) as AttemptDraft;
const kept = (more: Partial<AttemptDraft> = {}) => attemptFrom(draft(more), now);
const refused = (more: Partial<AttemptDraft>): object => {
  try {
    kept(more);
    return {};
  } catch (error) {
    return error instanceof Refusal ? error.fields : { error };
  }
};

describe("an attempt as it is entered", () => {
  it("began its duration ago unless it says when, and now where it is armed", () => {
    expect(kept().startedAt).toBe("2031-05-04T11:45:00.000Z");
    expect(kept({ startedAt: "2031-05-04T08:00:00.000Z" }).startedAt).toBe("2031-05-04T08:00:00.000Z");
    expect(kept({ outcome: "running", durationS: null }).startedAt).toBe(now);
  });

  it("has errors by place with their sum, or their number alone", () => {
    const byPlace = { "core 1": 2, "core 7": 5 };
    const told = { correctedErrors: 7, correctedErrorsAt: byPlace };
    expect(kept({ correctedErrors: byPlace })).toMatchObject(told);
    expect(kept(told)).toMatchObject(told);
    expect(kept({ correctedErrors: 7 })).toMatchObject({ correctedErrors: 7, correctedErrorsAt: null });
    expect(kept({ correctedErrors: {} })).toMatchObject({ correctedErrors: null, correctedErrorsAt: null });
    expect(refused({ correctedErrors: 6, correctedErrorsAt: byPlace })).toEqual({
      correctedErrors: "By place there were 7 corrected errors, not 6.",
    });
  });

  it("may begin ten minutes ahead of the bench's clock, and no later", () => {
    expect(() => assertBegun("2031-05-04T12:10:00.000Z", now)).not.toThrow();
    expect(() => assertBegun("2031-05-04T12:10:00.001Z", now)).toThrow("cannot begin later than now");
  });
});

describe("an attempt that contradicts itself is refused beside the field", () => {
  it("where its duration does not fit its end", () => {
    const running = { durationS: "A running attempt has no duration yet; leave it out." };
    expect(refused({ outcome: "running" })).toEqual(running);
    expect(refused({ durationS: null })).toEqual({ durationS: "Say how long it ran, in seconds." });
    expect(refused({ plannedS: 900 })).toEqual({});
    expect(refused({ plannedS: 901 })).toHaveProperty("durationS", expect.stringContaining("(901 s)"));
    expect(refused({ plannedS: 901, outcome: "stopped" })).toEqual({});
  });

  it("where its peak lies below its load temperature", () => {
    const words = { peakTempC: "The peak cannot lie below the load temperature." };
    expect(refused({ loadTempC: 80, peakTempC: 79.9 })).toEqual(words);
    for (const fine of [{ loadTempC: 80, peakTempC: 80 }, { loadTempC: 80 }, { peakTempC: 40 }])
      expect(refused(fine), JSON.stringify(fine)).toEqual({});
  });

  it("where nothing says what was set", () => {
    const words = { clockMhz: "Say which clock was set, or which offset." };
    expect(refused({ clockMhz: null, offsets: {} })).toEqual(words);
    expect([refused({ clockMhz: null, offset: 0 }), refused({ clockMhz: null, offsets: { a: 1 } })]).toEqual([
      ...[{}, {}],
    ]);
  });

  it("where the time in which it failed cannot be", () => {
    const froze = (failedFromS: number | null, failedToS: number | null) =>
      refused({ outcome: "freeze", failedFromS, failedToS });
    expect([froze(null, null), froze(0, 900), froze(300, 300)]).toEqual([{}, {}, {}]);
    expect(froze(300, null)).toHaveProperty("failedToS");
    expect(froze(null, 300)).toHaveProperty("failedFromS");
    expect(froze(301, 300)).toEqual({
      failedToS: "The latest time of the failure lies before the earliest.",
    });
    expect(froze(300, 901)).toEqual({ failedToS: "It cannot have failed later than it ran." });
    for (const outcome of ["pass", "no-start"] as const)
      expect(refused({ outcome, failedFromS: 0, failedToS: 1 })).toEqual({
        failedFromS: "Only a crash under load has a time at which it failed.",
      });
  });
});
