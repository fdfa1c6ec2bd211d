import { describe, expect, it } from "vitest";
import { tableCsv } from "../../../server/csv/tableCsv.ts";
import type { Plot } from "../../../server/html/plot.ts";
import { chartTable } from "../../../server/pages/writeUp/chartTable.ts";

const plot: Plot = {
  title: "Clock over voltage",
  x: { label: "core voltage set", unit: "V" },
  y: { label: "clock", unit: "MHz" },
  layers: [
    { as: "zone", tone: "warm", axis: "x", from: 1.2, to: 2, label: "near the heat limit" },
    { as: "band", tone: "second", points: [[1.1, 4400, 4450]], holds: "limit, 5 to 95 %" },
    { as: "steps", tone: "lead", points: [[1.1, 4425]], until: 1.15, label: "held" },
    {
      as: "marks",
      tone: "fault",
      shape: "cross",
      marks: [{ x: 1.1, y: 4475, words: "crashed" }],
      label: "crashed",
    },
    { as: "rule", tone: "quiet", axis: "x", at: 1.3, label: "your ceiling" },
  ],
};

describe("chartTable(name, chart)", () => {
  it("has a row for everything a plot shows, with the units in the heads", () => {
    expect(
      tableCsv(chartTable("limit-1", { kind: "plot", plot }))
        .replace("\ufeff", "")
        .split("\r\n"),
    ).toEqual([
      "Shown as,What,core voltage set (V),clock (MHz),low (MHz),high (MHz),In words",
      'band,"limit, 5 to 95 %",1.1,,4400,4450,',
      "steps,held,1.1,4425,,,",
      "mark,crashed,1.1,4475,,,crashed",
      "rule,your ceiling,1.3,,,,",
      "",
    ]);
  });

  it("tells along an axis of minutes in minutes", () => {
    const minutes: Plot = {
      ...plot,
      x: { label: "time under load", unit: "min", per: 60 },
      layers: [
        { as: "rule", tone: "quiet", axis: "x", at: 0, label: "load on" },
        { as: "line", tone: "lead", points: [[90, 41.5]], label: "Cupboard" },
        { as: "band", tone: "lead", points: [[90, 41, 42]], holds: "Cupboard, every reading" },
      ],
    };
    expect(chartTable("heat", { kind: "plot", plot: minutes }).rows).toEqual([
      ["rule", "load on", "0", "", "", "", ""],
      ["line", "Cupboard", "1.5", "41.5", "", "", ""],
      ["band", "Cupboard, every reading", "1.5", "", "41", "42", ""],
    ]);
  });

  it("leaves an open end of an interval empty, never zero", () => {
    const row = {
      label: "Clock",
      scale: "MHz",
      value: 25,
      low: null,
      high: 50,
      words: "",
      verdict: "not enough runs",
      decided: false,
    };
    const { rows } = chartTable("differences-1", {
      kind: "intervals",
      title: "t",
      rows: [row],
      nothing: "none",
    });
    expect(rows).toEqual([["Clock", "MHz", "25", "", "50", "not enough runs"]]);
  });
});
