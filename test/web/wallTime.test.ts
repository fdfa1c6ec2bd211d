import { describe, expect, it } from "vitest";
import { onThisWall, zoneSaid } from "../../web/controls/wallTime.ts";

/** Two hours east in summer, one in winter, changing on 26 October 2031 at 01:00 UTC (European rule, from memory). */
const european = (instantMs: number): number => (instantMs < Date.UTC(2031, 9, 26, 1) ? 120 : 60);
const newfoundland = () => -210;

describe("onThisWall", () => {
  it("says a time in UTC as the wall's clock does, with the offset of that day", () => {
    expect(onThisWall("2031-05-04 13:42 UTC", european)).toBe("2031-05-04 15:42 +02:00");
    expect(onThisWall("2031-05-04 13:42:00 UTC", european)).toBe("2031-05-04 15:42 +02:00");
    expect(onThisWall("2031-12-04 13:42 UTC", european)).toBe("2031-12-04 14:42 +01:00");
    expect(onThisWall("2031-01-01 01:15:07.250 UTC", newfoundland)).toBe("2030-12-31 21:45:07.250 -03:30");
    expect(onThisWall("2031-05-04 13:42 UTC", () => 0)).toBe("2031-05-04 13:42 +00:00");
  });
  it("leaves alone what has another zone or is no time", () => {
    for (const text of [
      "",
      "yesterday",
      "2031-05-04 13:42 +02:00",
      "2031-05-04 13:42",
      "2031-99-04 13:42 UTC",
    ])
      expect(onThisWall(text, european)).toBe(text);
  });
});

describe("zoneSaid", () => {
  it("takes a time without a zone to be the wall's, before and after the clocks change", () => {
    expect(zoneSaid("2031-10-25 15:00", european)).toBe("2031-10-25 15:00 +02:00");
    expect(zoneSaid("2031-10-26T04:00", european)).toBe("2031-10-26 04:00 +01:00");
    expect(zoneSaid(" 2031-05-04 15:42:09 ", newfoundland)).toBe("2031-05-04 15:42:09 -03:30");
  });
  it("leaves a zone that was typed, and what is no time", () => {
    for (const text of ["2031-05-04 13:42 UTC", "2031-05-04 13:42Z", "2031-05-04 13:42 +09:00", "", "noon"])
      expect(zoneSaid(text, european)).toBe(text);
  });
  it("comes to the same instant that it was read from", () => {
    const text = "2031-07-01 23:30 UTC";
    const wall = onThisWall(text, european);
    expect(Date.parse(wall.replace(" ", "T").replace(" ", ""))).toBe(Date.parse("2031-07-01T23:30:00Z"));
  });
});
