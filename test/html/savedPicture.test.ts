import { describe, expect, it } from "vitest";
import type { Plot } from "../../server/html/plot.ts";
import { intervalPicture, plotPicture } from "../../server/html/savedPicture.tsx";

const plot: Plot = {
  title: "Limit over voltage",
  x: { label: "Voltage", unit: "V" },
  y: { label: "Clock", unit: "MHz" },
  layers: [
    {
      as: "band",
      tone: "lead",
      points: [
        [1.1, 4400, 4500],
        [1.3, 4700, 4900],
      ],
    },
    {
      as: "line",
      tone: "lead",
      points: [
        [1.1, 4450],
        [1.3, 4800],
      ],
      label: "limit <fitted>",
    },
    { as: "marks", tone: "fault", shape: "cross", marks: [{ x: 1.2, y: 4700 }], label: "crashed" },
  ],
};

describe("pictures that leave the page", () => {
  it("stand alone: real colours, a size, a paper, no style sheet and no script", () => {
    const svg = plotPicture(plot)!;
    expect(svg).toMatch(
      /^<\?xml version="1\.0" encoding="UTF-8"\?>\n<svg width="822" height="496" viewBox="-16 -40 822 496"/,
    );
    expect(svg).not.toContain("var(");
    expect(svg).not.toMatch(/class=|<script|style=/);
    expect(svg).toContain('<rect x="-16" y="-40" width="100%" height="100%" fill="#ffffff"/>');
    expect(svg).toContain(">Limit over voltage</text>");
    expect(svg).toContain("limit &lt;fitted>");
    expect(svg).toContain("Voltage, V");
  });
  it("nothing to draw is no picture", () => {
    expect(plotPicture({ ...plot, layers: [] })).toBeUndefined();
    expect(intervalPicture("Differences", [], "no difference")).toBeUndefined();
  });
  it("differences come with their words and verdicts", () => {
    const row = {
      label: "Load",
      scale: "°C",
      value: 6.2,
      low: 3.4,
      high: 9,
      words: "+6.2 °C (3.4 to 9.0)",
      verdict: "differs",
      decided: true,
    };
    const svg = intervalPicture("Differences", [row], "no difference")!;
    for (const words of ["+6.2 °C (3.4 to 9.0)", "differs", "no difference"]) expect(svg).toContain(words);
    expect(svg).not.toContain("var(");
  });
});
