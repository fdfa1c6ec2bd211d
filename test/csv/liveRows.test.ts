import { describe, expect, it } from "vitest";
import { liveRowsIn } from "../../server/csv/liveRows.ts";

describe("liveRowsIn", () => {
  it("reads JSON lines, a channel that is not there being missing", () => {
    expect(liveRowsIn('{"time":1,"temperature":61.5}\n{"time":2,"temperature":62,"power":140}\n')).toEqual({
      channels: [
        { channel: "temperature", unit: "°C" },
        { channel: "power", unit: "W" },
      ],
      timeKind: "seconds",
      t: [1, 2],
      values: [
        [61.5, 62],
        [Number.NaN, 140],
      ],
    });
  });

  it("reads CSV lines under a header, in the units written there", () => {
    const rows = liveRowsIn(
      "time,temperature,Core voltage [V]\n2031-05-04T13:42:00Z,61,1.18\n2031-05-04T13:42:01.5Z,,1.185\n",
    );
    expect(rows.timeKind).toBe("instant");
    expect(rows.t[1]! - rows.t[0]!).toBe(1.5);
    expect(rows.channels.map(({ channel, unit }) => `${channel} ${unit}`)).toEqual([
      "temperature °C",
      "voltage mV",
    ]);
    expect(rows.values).toEqual([
      [61, Number.NaN],
      [1180, 1185],
    ]);
  });

  it("refuses what holds no time, no sample or no number, in a sentence", () => {
    for (const [text, words] of [
      ["", "no samples"],
      ['{"temperature":61}', "no time"],
      ['{"time":1,"temperature":"hot"}', "not a number"],
      ['{"time":1}\n{"time":"2031-05-04T13:42:00Z"}', "two ways"],
      ['{"time":1}\nnonsense', "Line 2 is not"],
      ["time,temperature\n", "no samples"],
    ] as const)
      expect(() => liveRowsIn(text)).toThrow(words);
  });
});
