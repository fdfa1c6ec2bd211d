import { describe, expect, it } from "vitest";
import {
  clockSeconds,
  instantSeconds,
  minuteSeconds,
  shortClockOf,
  Timeline,
} from "../../server/csv/logTime.ts";
import { writtenMoment } from "../../server/csv/writtenMoment.ts";

describe("clockSeconds(cell)", () => {
  it("reads a clock of twenty-four hours and one of twelve, noon and midnight as clocks call them", () => {
    for (const [cell, seconds] of [
      ["13:04:05.250", 47_045.25],
      ["13:04:05,25", 47_045.25],
      ["0:00", 0],
      ["2031-05-04 23:59:59", 86_399],
      ["1:04 pm", 47_040],
      ["12:05 am", 300],
      ["12:05 PM", 43_500],
      ["11:59 pm", 86_340],
    ] as const)
      expect(clockSeconds(cell), cell).toBeCloseTo(seconds, 9);
  });

  it("takes an hour after noon with its half, and none that says the other one", () => {
    expect(clockSeconds("18:30 pm")).toBe(66_600);
    for (const cell of ["18:30 am", "13:00 AM", "24:10 pm"]) expect(clockSeconds(cell), cell).toBeUndefined();
    expect(writtenMoment("5/4/2031 18:30 AM", "mdy")).toBeUndefined();
  });

  it("takes a leap second, which ISO 8601 writes as the sixtieth, and no minute after the fifty-ninth", () => {
    expect(clockSeconds("23:59:60")).toBe(86_400);
    for (const cell of ["23:59:61", "12:60", "12", "noon"]) expect(clockSeconds(cell), cell).toBeUndefined();
  });
});

describe("minuteSeconds(cell)", () => {
  it("takes two parts for minutes and seconds, also beyond the hour, and three for hours, minutes and seconds", () => {
    expect(["7:30", "75:30", "1:07:30", "0:59"].map(minuteSeconds)).toEqual([450, 4530, 4050, 59]);
    expect(minuteSeconds("7:60")).toBeUndefined();
  });
});

describe("instantSeconds(cell)", () => {
  const utc = (text: string): number => Date.parse(text) / 1000;

  it("reads ISO 8601 with its offset from UTC, long, short or in words", () => {
    const noon = utc("2031-05-04T12:00:00Z");
    for (const cell of [
      "2031-05-04T12:00:00Z",
      "20310504T120000Z",
      "2031-05-04 12:00 UTC",
      "2031-05-04T17:30:00+05:30",
      "2031-05-04T08:30:00-0330",
      "2031-05-04T14:00+02:00",
      "2031-05-04T07:00-05",
    ])
      expect(instantSeconds(cell), cell).toEqual({ seconds: noon, zoned: true });
    expect(instantSeconds("2031-05-04T12:00:00,25")).toEqual({ seconds: noon + 0.25, zoned: false });
  });

  it("knows no day that the calendar has not, no twenty-fifth hour and no second after a leap second", () => {
    for (const cell of [
      "2031-06-31T12:00",
      "2031-02-29T12:00",
      "2031-00-04T12:00",
      "2031-05-00T12:00",
      "2031-05-04T12:00:61",
      "2031-13-04T12:00",
      "2031-05-32T12:00",
      "2031-05-04T25:00",
      "2031-05-04T12:60",
      "2031-05-04",
    ])
      expect(instantSeconds(cell), cell).toBeUndefined();
    expect(instantSeconds("2032-02-29T12:00:60Z")?.seconds).toBe(utc("2032-02-29T12:01:00Z"));
    expect(instantSeconds("2031-05-04T12:59Z")?.seconds).toBe(utc("2031-05-04T12:59:00Z"));
    expect(instantSeconds("2031-12-31T24:00Z")?.seconds).toBe(utc("2032-01-01T00:00:00Z"));
  });
});

describe("shortClockOf(name, cells)", () => {
  it("tells a clock of the day by one minute seen twice running, wherever it stands", () => {
    expect(shortClockOf("Time", ["13:04", "13:04", "13:05"])).toBe("h:m");
    expect(shortClockOf("Time", ["13:04", "13:05", "13:05 "])).toBe("h:m");
    expect(shortClockOf("Time", ["13:04", "13:05", "13:04"])).toBe("open");
  });

  it("goes by the column's name, and by a first part no day has", () => {
    expect(shortClockOf("Elapsed", ["13:04", "13:04"])).toBe("m:s");
    expect(shortClockOf("hh:mm", ["13:04", "13:05"])).toBe("h:m");
    expect(shortClockOf("Time", ["23:59", "24:00"])).toBe("m:s");
    expect(shortClockOf("Time", ["22:59", "23:00"])).toBe("open");
  });

  it("says nothing of one cell, or where one is no short clock", () => {
    expect(shortClockOf("Time", ["13:04"])).toBeUndefined();
    expect(shortClockOf("Time", ["13:04", "13:05:06"])).toBeUndefined();
  });
});

describe("a time that runs back", () => {
  const secondsAfter = (step: number, rows: number): Timeline => {
    const line = new Timeline(false);
    for (let row = 0; row < rows; row += 1) line.place(step * row);
    return line;
  };
  /** Of two rows a step apart the second of which lies so far back. */
  const startsOver = (step: number, back: number): boolean => {
    const line = secondsAfter(step, 100);
    const second = 99 * step - back;
    expect(line.place(second - step).t).toBeUndefined();
    return line.place(second).t !== undefined;
  };

  it("is a stray up to ten of its usual steps, or five seconds; further back it starts over", () => {
    expect([startsOver(1, 10), startsOver(1, 10.5)]).toEqual([false, true]);
    expect([startsOver(0.25, 5), startsOver(0.25, 5.25)]).toEqual([false, true]);
  });

  it("is refused where a second row does not agree, and goes on where it was", () => {
    const line = secondsAfter(1, 100);
    expect(line.place(20)).toEqual({
      t: undefined,
      because: "Its time lies before that of the line above.",
    });
    expect(line.place(19).t).toBeUndefined();
    expect(line.place(100)).toEqual({ t: 100, adjusted: null });
    expect(line.place(20).t).toBeUndefined();
    expect(line.place(21)).toEqual({ t: 101, adjusted: "The time starts over here; it was carried on." });
  });
});
