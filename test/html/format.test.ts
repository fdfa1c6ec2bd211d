import { describe, expect, it } from "vitest";
import {
  decimalsFor,
  formatBytes,
  formatCount,
  formatDuration,
  formatElapsed,
  formatList,
  formatMilli,
  formatMinutes,
  formatMoment,
  formatNumber,
  formatRange,
  formatSigned,
} from "../../server/html/format.ts";

describe("formatNumber", () => {
  it("shows as many decimals as a number needs, at most three", () => {
    expect([4625, 4625.5, 99.1234].map((value) => formatNumber(value))).toEqual(["4625", "4625.5", "99.123"]);
  });

  it("shows exactly the decimals it is told to", () => {
    expect(formatNumber(84, 1)).toBe("84.0");
  });

  it("parts thousands with a thin space from five digits on", () => {
    expect([formatNumber(9999), formatNumber(12345), formatNumber(1234567)]).toEqual([
      "9999",
      "12\u202f345",
      "1\u202f234\u202f567",
    ]);
  });

  it("writes a true minus, and none before a zero", () => {
    expect([formatNumber(-3.2), formatNumber(-0.04, 1)]).toEqual(["−3.2", "0.0"]);
  });

  it("never shows a zero for what is unknown", () => {
    expect([null, undefined, Number.NaN, Infinity].map((value) => formatNumber(value))).toEqual(
      Array(4).fill("–"),
    );
  });
});

describe("formatBytes", () => {
  it("counts begun KiB, and from one MiB on tenths of those", () => {
    expect([0, 1, 1024, 1025, (1 << 20) - 1, 1 << 20, 5.25 * (1 << 20)].map(formatBytes)).toEqual([
      "0 KiB",
      "1 KiB",
      "1 KiB",
      "2 KiB",
      "1024 KiB",
      "1.0 MiB",
      "5.3 MiB",
    ]);
  });
});

describe("formatSigned and formatRange", () => {
  it("gives a difference its sign, and none when it rounds to nothing", () => {
    expect([formatSigned(6.2, 1), formatSigned(-45), formatSigned(0.2), formatSigned(0)]).toEqual([
      "+6.2",
      "−45",
      "0",
      "0",
    ]);
  });

  it("joins the ends of a range with a word, since a dash beside a minus misleads", () => {
    expect(formatRange(-1.2, 2.8, 1)).toBe("−1.2 to 2.8");
  });
});

describe("decimalsFor", () => {
  it("gives a value the digits its uncertainty deserves", () => {
    expect([25, 3.4, 2.8, 0.43, 0.12, 0.04].map(decimalsFor)).toEqual([0, 0, 1, 1, 2, 2]);
  });

  it("gives none where the uncertainty is unknown", () => {
    expect([decimalsFor(null), decimalsFor(0)]).toEqual([0, 0]);
  });
});

describe("formatMilli", () => {
  it("shows volts from millivolts with three decimals, or all that a fine step needs", () => {
    expect([1180, 1337.5, 1006.25, 900].map(formatMilli)).toEqual(["1.180", "1.3375", "1.00625", "0.900"]);
  });

  it("keeps every microvolt apart", () => {
    const shown = Array.from({ length: 1000 }, (_, uv) => formatMilli(1200 + uv / 1000));
    expect(new Set(shown).size).toBe(1000);
  });
});

describe("durations", () => {
  it("reads no finer than it is worth", () => {
    const seconds = [0, 45, 59.4, 204, 600, 1200, 3600, 3900, 68_400, 86_400, 273_600];
    expect(seconds.map(formatDuration)).toEqual([
      "0 s",
      "45 s",
      "59 s",
      "3.4 min",
      "10 min",
      "20 min",
      "1 h",
      "1 h 5 min",
      "19 h",
      "1 d",
      "3 d 4 h",
    ]);
  });

  it("never shows sixty minutes or twenty-four hours as a remainder", () => {
    const shown = Array.from({ length: 60_000 }, (_, i) => formatDuration(i * 7));
    expect(shown.filter((words) => /\b(60 (s|min)|24 h)\b/.test(words))).toEqual([]);
  });

  it("shows minutes for a column and a running clock", () => {
    expect([formatMinutes(204), formatMinutes(18_600), formatMinutes(null)]).toEqual(["3.4", "310", "–"]);
    expect([formatMinutes(0), formatMinutes(1), formatMinutes(6)]).toEqual(["0", "< 0.1", "0.1"]);
    expect([formatElapsed(462), formatElapsed(4062), formatElapsed(-3)]).toEqual([
      "07:42",
      "1:07:42",
      "00:00",
    ]);
  });
});

describe("words", () => {
  it("counts in words", () => {
    expect([0, 1, 62].map((count) => formatCount(count, "attempt"))).toEqual([
      "no attempts",
      "1 attempt",
      "62 attempts",
    ]);
  });

  it("lists with one and", () => {
    expect([[], ["a"], ["a", "b"], ["a", "b", "c"]].map((words) => formatList(words))).toEqual([
      "",
      "a",
      "a and b",
      "a, b and c",
    ]);
  });

  it("shows a moment in the zone it is told, over midnight too", () => {
    expect(formatMoment("2031-05-04T23:42:10.000Z", "moment", 120)).toBe("5 May 2031, 01:42");
    expect(formatMoment("2031-05-04T23:42:10.000Z", "clock")).toBe("23:42");
    expect(formatMoment("no time", "day")).toBe("–");
  });

  it("shows a moment briefly: a day of this year with its time, of another year without", () => {
    expect(formatMoment("2031-05-04T23:42:10.000Z", "brief", 120, 2031)).toBe("5 May, 01:42");
    expect(formatMoment("2030-12-31T23:42:10.000Z", "brief", 0, 2031)).toBe("31 Dec 2030");
    expect(formatMoment("2030-12-31T23:42:10.000Z", "brief", 60, 2031)).toBe("1 Jan, 00:42");
    // Who does not know the year says all of it.
    expect(formatMoment("2030-12-31T23:42:10.000Z", "brief")).toBe("31 Dec 2030, 23:42");
  });
});
