import { renderToString } from "preact-render-to-string";
import { describe, expect, it } from "vitest";
import { type Box, labelPlaces } from "../../server/html/labelPlaces.ts";
import { plotOfLines } from "../../server/html/lineChart.ts";
import { extentsOf, type Plot } from "../../server/html/plot.ts";
import { gutterOf, plotShapes, type View } from "../../server/html/plotShapes.ts";
import { PlotKey, PlotSvg } from "../../server/html/plotSvg.tsx";
import { axisTicks, tickDecimals, ticksOf, tickWords } from "../../server/html/ticks.ts";

const plot: Plot = {
  title: "Clock over voltage",
  x: { label: "voltage", unit: "V" },
  y: { label: "clock", unit: "MHz" },
  layers: [
    {
      as: "band",
      tone: "lead",
      points: [
        [1, 4200, 4300],
        [1.2, 4500, 4600],
      ],
    },
    {
      as: "steps",
      tone: "lead",
      points: [
        [1, 4250],
        [1.1, 4400],
      ],
      until: 1.2,
      label: "held",
    },
    { as: "marks", tone: "fault", shape: "cross", marks: [{ x: 1.1, y: 4450 }], label: "crashed" },
    { as: "rule", tone: "quiet", axis: "x", at: 1.3, label: "ceiling" },
  ],
};
const area: Box = { left: 0, top: 0, width: 100, height: 100 };
const view: View = { area, gutter: 100, x: [1, 1.4], y: [4000, 5000], widthOf: (words) => words.length * 7 };

const overlaps = (a: Box, b: Box): boolean =>
  a.left < b.left + b.width &&
  b.left < a.left + a.width &&
  a.top < b.top + b.height &&
  b.top < a.top + a.height;

describe("extentsOf", () => {
  it("spans everything drawn, with room at the edges", () => {
    const { x, y } = extentsOf(plot) ?? { x: [0, 0], y: [0, 0] };
    expect(x[0]).toBeLessThan(1);
    expect(x[1]).toBeGreaterThan(1.3);
    expect(y[0]).toBeLessThan(4200);
    expect(y[1]).toBeGreaterThan(4600);
  });

  it("has an answer for a single mark, and none for an empty plot", () => {
    const one = extentsOf({
      ...plot,
      layers: [{ as: "marks", tone: "lead", shape: "dot", marks: [{ x: 1, y: 4000 }] }],
    });
    expect(one?.x[1]).toBeGreaterThan(one?.x[0] ?? Infinity);
    expect(extentsOf({ ...plot, layers: [] })).toBeUndefined();
  });

  it("takes more points than a call may have arguments", () => {
    const points = Array.from({ length: 300_000 }, (_, i) => [i, i] as const);
    expect(extentsOf({ ...plot, layers: [{ as: "line", tone: "lead", points }] })?.x[1]).toBeGreaterThan(
      299_999,
    );
  });
});

describe("ticksOf", () => {
  it("gives round values inside the extent, without the noise of floating point", () => {
    expect(ticksOf([1.04, 1.31], 6)).toEqual([1.05, 1.1, 1.15, 1.2, 1.25, 1.3]);
    expect(ticksOf([4180, 4910], 7)).toEqual([4200, 4300, 4400, 4500, 4600, 4700, 4800, 4900]);
    expect(tickDecimals(ticksOf([1.04, 1.31], 6))).toBe(2);
  });

  it("counts in the axis's own unit where that is another than the numbers'", () => {
    const minutes = { label: "time", unit: "min", per: 60 };
    const ticks = axisTicks(minutes, [-130, 3700], 7);
    expect(ticks).toEqual([0, 600, 1200, 1800, 2400, 3000, 3600]);
    expect(tickWords(minutes, ticks)).toEqual(["0", "10", "20", "30", "40", "50", "60"]);
    expect(tickWords(minutes, axisTicks(minutes, [10, 130], 4))).toEqual(["0.5", "1.0", "1.5", "2.0"]);
    expect(tickWords(minutes, axisTicks(minutes, [-180, 1200], 5))).toEqual(["0", "5", "10", "15", "20"]);
    expect(tickWords(minutes, axisTicks(minutes, [0, 28800], 7))).toHaveLength(9);
  });

  it("gives none for an extent of no width", () => {
    expect(ticksOf([1, 1], 5)).toEqual([]);
  });
});

describe("plotShapes", () => {
  it("draws steps level first, then up", () => {
    const steps = plotShapes(plot, view).strokes[1];
    expect(steps?.path).toBe("M0,75H25V60H50");
  });

  it("writes no words on a drawing without room for them", () => {
    expect(plotShapes(plot, { ...view, gutter: 8 }).words).toEqual([]);
    expect(plotShapes(plot, view).words.map(({ words }) => words)).toEqual(["held", "crashed", "ceiling"]);
  });
});

describe("labels and lines", () => {
  const wide: View = {
    ...view,
    area: { left: 0, top: 0, width: 600, height: 300 },
    gutter: 148,
    x: [0, 600],
    y: [0, 300],
  };
  /** Level at a height, with a ripple, as a trace is. */
  const level = (label: string, y: number, until: number) => ({
    as: "line" as const,
    tone: "lead" as const,
    label,
    points: Array.from({ length: until }, (_, x) => [x, y + (x % 7)] as const),
  });
  const boxOf = ({ words, x, y }: { words: string; x: number; y: number }): Box => ({
    ...{ left: x, top: y - 8.5 },
    ...{ width: wide.widthOf(words), height: 17 },
  });
  const isOver = (box: Box, { points }: ReturnType<typeof level>): boolean =>
    points.some(([x, y]) => overlaps(box, { left: x, top: 300 - y, width: 1, height: 1 }));

  it("puts the label of a line that ends early off the line that goes on there", () => {
    const lines = [level("ended early", 150, 300), level("went on", 150, 600), level("above", 175, 600)];
    const { words } = plotShapes({ ...plot, layers: lines }, wide);
    expect(words).toHaveLength(3);
    for (const word of words)
      for (const line of lines) expect(isOver(boxOf(word), line), word.words).toBe(false);
  });

  it("names lines that end close together in the order in which they lie", () => {
    const heights = [150, 147, 120, 128];
    const lines = heights.map((y) => level(`at ${y}`, y, 600));
    const { words } = plotShapes({ ...plot, layers: lines }, wide);
    const told = words.toSorted((a, b) => a.y - b.y).map((word) => word.words);
    expect(told).toEqual(["at 150", "at 147", "at 128", "at 120"]);
  });

  it("names a zone inside it, also where its corner is taken", () => {
    const marks = [6, 7, 8, 9].map((x) => ({ x, y: 100 }));
    const plot: Plot = {
      title: "Zone",
      x: { label: "x", unit: "V" },
      y: { label: "y", unit: "MHz" },
      layers: [
        { as: "zone", tone: "warm", axis: "x", from: 5, to: 20, label: "near the heat limit" },
        { as: "marks", tone: "fault", shape: "cross", marks: [{ x: 0, y: 0 }, ...marks, { x: 10, y: 90 }] },
      ],
    };
    const view: View = {
      area: { left: 0, top: 0, width: 600, height: 300 },
      ...{ gutter: 148, x: [0, 10], y: [0, 101], widthOf: (words: string) => words.length * 8 },
    };
    const named = plotShapes(plot, view).words.find(({ words }) => words === "near the heat limit");
    expect(named?.x).toBeGreaterThan(300);
    expect(named?.y).toBeGreaterThan(20);
  });

  it("keeps off lines that somebody else draws, and off rules", () => {
    const drawn = level("drawn elsewhere", 150, 600);
    const zone = { as: "zone" as const, axis: "x" as const, tone: "fault" as const, from: 100, to: 140 };
    const ruled: Plot["layers"] = [
      { ...zone, label: "held back" },
      { as: "rule", axis: "y", tone: "warm", at: 291, label: "limit" },
    ];
    const { words } = plotShapes({ ...plot, layers: ruled }, { ...wide, keepOff: [drawn] });
    for (const word of words) {
      expect(isOver(boxOf(word), drawn)).toBe(false);
      expect(overlaps(boxOf(word), { left: 0, top: 9, width: 600, height: 1 }), word.words).toBe(false);
    }
    const near = { ...drawn, points: drawn.points.map(([x, y]) => [x, y + 138] as const) };
    const kept = plotShapes({ ...plot, layers: ruled.slice(0, 1) }, { ...wide, keepOff: [near] }).words[0];
    expect(kept && isOver(boxOf(kept), near)).toBe(false);
  });
});

describe("labelPlaces", () => {
  it("puts no label on another while there is room", () => {
    const wanted = Array.from({ length: 5 }, () => ({ anchors: [{ x: 50, y: 50 }], width: 40, height: 17 }));
    const places = labelPlaces(wanted, [], { left: 0, top: 0, width: 200, height: 200 });
    places.forEach((place, i) => {
      for (const other of places.slice(i + 1)) expect(overlaps(place, other)).toBe(false);
    });
  });

  it("keeps off obstacles and inside the bounds", () => {
    const obstacle = { left: 60, top: 40, width: 30, height: 20 };
    const bounds = { left: 0, top: 0, width: 110, height: 110 };
    const [place] = labelPlaces([{ anchors: [{ x: 50, y: 50 }], width: 40, height: 17 }], [obstacle], bounds);
    expect(place && overlaps(place, obstacle)).toBe(false);
    expect(place?.left).toBeGreaterThanOrEqual(0);
    expect((place?.left ?? 0) + 40).toBeLessThanOrEqual(110);
  });
});

describe("labelPlaces by several anchors", () => {
  it("stands right beside another mark of its own before it moves away from the first", () => {
    const obstacles = [
      { left: 55, top: 40, width: 60, height: 20 },
      { left: 0, top: 40, width: 45, height: 20 },
    ];
    const label = {
      anchors: [
        { x: 50, y: 50 },
        { x: 50, y: 120 },
      ],
      width: 40,
      height: 17,
    };
    const [place] = labelPlaces([label], obstacles, { left: 0, top: 0, width: 200, height: 200 });
    expect(place).toEqual({ left: 60, top: 111.5, width: 40, height: 17 });
  });
});

describe("PlotSvg", () => {
  const html = renderToString(<PlotSvg plot={plot} />);

  it("says in words what it shows and names its axes with their units", () => {
    expect(html).toContain('role="img" aria-label="Clock over voltage"');
    expect(html).toContain("voltage, V");
    expect(html).toContain("clock, MHz");
  });

  it("carries no style attribute, which the content policy would drop", () => {
    expect(html).not.toContain("style=");
  });

  it("is nothing where there is nothing to draw", () => {
    expect(renderToString(<PlotSvg plot={{ ...plot, layers: [] }} />)).toBe("");
  });

  it("has a key that names every labelled layer", () => {
    const key = renderToString(<PlotKey plot={plot} />);
    for (const words of ["held", "crashed", "ceiling"]) expect(key).toContain(words);
  });

  it("has a key that shows the marks of a line, which tell it from others without hues", () => {
    const steps = { as: "steps", tone: "lead", label: "Quay S", points: [[1, 2]], until: 2 } as const;
    const marks = { as: "marks", shape: "square", marks: [{ x: 1, y: 2 }] } as const;
    const pathsIn = (of: Plot) => renderToString(<PlotKey plot={of} />).match(/<path/g)?.length;
    expect(pathsIn({ ...plot, layers: [steps, { ...marks, tone: "lead" }] })).toBe(2);
    expect(pathsIn({ ...plot, layers: [steps, { ...marks, tone: "second" }] })).toBe(1);
  });
});

describe("gutterOf", () => {
  const named = (label: string): Plot => ({
    ...plot,
    layers: [{ as: "line", tone: "lead", label, points: [[0, 1]] }],
  });
  const widthOf = (words: string) => words.length * 8;

  it("leaves the longest label its room beside a wide drawing, within a third of it", () => {
    expect(gutterOf(named("run"), 790, widthOf)).toBe(148);
    expect(gutterOf(named("A build with a long name"), 790, widthOf)).toBe(24 * 8 + 24);
    expect(gutterOf(named("long ".repeat(30)), 790, widthOf)).toBe(237);
  });

  it("leaves none beside a narrow one, whose key names things", () => {
    expect(gutterOf(named("A build with a long name"), 360, widthOf)).toBe(8);
  });
});

describe("plotOfLines", () => {
  it("keeps every extreme when it thins a long line", () => {
    const x = Array.from({ length: 2000 }, (_, i) => i);
    const mean = x.map((i) => (i === 1234 ? 99 : i === 777 ? 11 : 50));
    const { layers } = plotOfLines({ ...plot, lines: [{ label: "run", tone: "lead", x, mean }] });
    const band = layers.find((layer) => layer.as === "band");
    const heights = band?.as === "band" ? band.points.flatMap(([, low, high]) => [low, high]) : [];
    expect([Math.min(...heights), Math.max(...heights)]).toEqual([11, 99]);
    expect(band?.as === "band" && band.points.length).toBeLessThanOrEqual(300);
  });

  it("breaks a line where a value is missing, and names it once", () => {
    const { layers } = plotOfLines({
      ...plot,
      lines: [{ label: "run", tone: "lead", x: [0, 1, 2, 3, 4], mean: [1, 2, null, 3, 4] }],
    });
    const drawn = layers.flatMap((layer) => (layer.as === "line" ? [[layer.points, layer.label]] : []));
    expect(drawn).toEqual([
      [
        [
          [0, 1],
          [1, 2],
        ],
        undefined,
      ],
      [
        [
          [3, 3],
          [4, 4],
        ],
        "run",
      ],
    ]);
  });

  it("thins a broken line without closing the break", () => {
    const x = Array.from({ length: 2000 }, (_, i) => i);
    const mean = x.map((i) => (i === 1001 ? null : i));
    const { layers } = plotOfLines({ ...plot, lines: [{ label: "run", tone: "lead", x, mean }] });
    const lines = layers.flatMap((layer) => (layer.as === "line" ? [layer.points] : []));
    expect(lines).toHaveLength(2);
    expect(lines[0]?.every(([at]) => at < 1001)).toBe(true);
    expect(lines[1]?.[0]?.[0]).toBe(1002);
    expect(layers.filter((layer) => layer.as === "band")).toHaveLength(2);
  });
});
