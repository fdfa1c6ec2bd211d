import { describe, expect, it } from "vitest";
import { nextStamp, stampOf, timeOf, whenWritten, writerOf } from "../../../server/bench/document/stamp.ts";
import { stampInDocument } from "../../../server/bench/document/stampsInDocument.ts";

const now = "2031-05-04T12:00:00.000Z";
const at = Date.parse(now);

describe("the stamp of what is written next", () => {
  it("tells the time and who writes", () => {
    const stamp = nextStamp(now, "", "sabc");
    expect([whenWritten(stamp), writerOf(stamp)]).toEqual([now, "sabc"]);
  });

  it("is later than everything known of the thing, whatever the bench's clock says", () => {
    for (const known of [
      stampOf(at, 0, ""),
      stampOf(at, 7, ""),
      stampOf(at + 1, 0, ""),
      stampOf(at + 86_400_000, 36 ** 4 - 1, ""),
    ]) {
      const next = nextStamp(now, timeOf(known), "s");
      expect(timeOf(next) > timeOf(known), known).toBe(true);
      expect(timeOf(next)).toHaveLength(timeOf(known).length);
    }
  });

  it("counts on where time stands still, and begins the next millisecond once the count is full", () => {
    expect(nextStamp(now, stampOf(at, 41, ""), "s")).toBe(stampOf(at, 42, "s"));
    expect(nextStamp(now, stampOf(at, 36 ** 4 - 2, ""), "s")).toBe(stampOf(at, 36 ** 4 - 1, "s"));
    expect(nextStamp(now, stampOf(at, 36 ** 4 - 1, ""), "s")).toBe(stampOf(at + 1, 0, "s"));
  });
});

describe("a stamp in a journal from elsewhere", () => {
  it("is taken a hundred years beyond any time that may be written, and no further", () => {
    expect(stampInDocument.safeParse(stampOf(Date.UTC(2300, 0) - 1, 9, "sabc")).success).toBe(true);
    expect(stampInDocument.safeParse(stampOf(Date.UTC(2300, 0), 0, "sabc")).error?.issues[0]?.message).toBe(
      "This time lies too far ahead.",
    );
    expect(stampInDocument.safeParse("yesterday").error?.issues[0]?.message).toBe("This is no stamp.");
  });
});
