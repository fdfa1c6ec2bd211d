import type { LoadLine } from "../../bench/power/loadLine.ts";
import type { PowerAccount } from "../../bench/power/powerAccount.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { formatNumber } from "../../html/format.ts";
import type { Layer, MarkShape, Plot, Tone } from "../../html/plot.ts";
import type { Look } from "../kit/buildLooks.ts";
import { settingWords } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";

const perGigahertz = 1000;

/** Watts against V²·f in the look of the build, and what the fit gives at the settings read, as warm as they were. */
export function wattsPlot({ points, fit }: PowerAccount, clockUnit: Chip["clockUnit"], own: Look): Plot {
  const line: readonly Layer[] =
    "wattsAt" in fit
      ? [
          {
            as: "line",
            tone: "quiet",
            points: points
              .map(
                ({ squareTimesClock, ran }) => [squareTimesClock / perGigahertz, fit.wattsAt(ran)] as const,
              )
              .sort(([a], [b]) => a - b),
            label: "fitted",
          },
        ]
      : [];
  return {
    title: "Power against voltage squared times clock",
    x: { label: "voltage squared times clock", unit: "V²·GHz" },
    y: { label: "power", unit: "W" },
    layers: [
      ...line,
      {
        as: "marks",
        ...own,
        label: "read",
        marks: points.map((point) => ({
          x: point.squareTimesClock / perGigahertz,
          y: point.powerW,
          words: `${formatNumber(point.powerW, 0)} W, ${settingWords(point, { clockUnit, offset: null })}`,
          href: paths.attempt(point.attemptId),
        })),
      },
    ],
  };
}

const looks: readonly Readonly<{ tone: Tone; shape: MarkShape }>[] = [
  { tone: "lead", shape: "dot" },
  { tone: "second", shape: "square" },
  { tone: "third", shape: "triangle" },
  { tone: "fourth", shape: "half" },
];

export const isLine = (line: PowerAccount["loadLines"][number]): line is LoadLine => "milliohm" in line;

/** Droop against current, a line for each load-line setting of the firmware. */
export function droopPlot({ droops, loadLines }: PowerAccount): Plot {
  const settings = [...new Set(droops.map((point) => point.loadLine))].slice(0, looks.length);
  return {
    title: "Droop against current",
    x: { label: "current", unit: "A" },
    y: { label: "set less load voltage", unit: "mV" },
    layers: settings.flatMap((setting, n) => {
      const look = looks[n]!;
      const of = droops.filter((point) => point.loadLine === setting);
      const currents = of.map((point) => point.currentA);
      const line = loadLines.filter(isLine).find((one) => one.setting === setting);
      const drawn: readonly Layer[] = line
        ? [
            {
              as: "line",
              tone: look.tone,
              points: [line.offsetMv.value >= 0 ? 0 : Math.min(...currents), Math.max(...currents)].map(
                (currentA) => [currentA, line.offsetMv.value + line.milliohm.value * currentA] as const,
              ),
              label: setting ?? "not noted",
            },
          ]
        : [];
      return [
        ...drawn,
        {
          as: "marks" as const,
          tone: look.tone,
          shape: look.shape,
          marks: of.map((point) => ({
            x: point.currentA,
            y: point.droopMv,
            words: `${formatNumber(point.droopMv, 1)} mV at ${formatNumber(point.currentA, 0)} A`,
            href: paths.attempt(point.attemptId),
          })),
          ...(drawn.length === 0 ? { label: setting ?? "not noted" } : {}),
        },
      ];
    }),
  };
}
