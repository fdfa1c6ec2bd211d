import { type Extent, extentsOf, type Layer, type Plot, type Tone } from "./plot.ts";
import { gutterOf, type PlotWord, plotShapes, type Stroke, swatchOf, type View } from "./plotShapes.ts";
import { axisTicks, tickWords } from "./ticks.ts";

/** Colours by meaning. A picture that leaves the page must carry real ones. */
export type Palette = Readonly<
  Record<Tone | "paper" | "rule" | "soft", string> & { wash: (tone: Tone) => string; font: string }
>;

/** The style sheet's own inks, so that a chart follows the theme. */
export const pagePalette: Palette = {
  lead: "var(--tone-lead)",
  second: "var(--tone-second)",
  third: "var(--tone-third)",
  fourth: "var(--tone-fourth)",
  fault: "var(--tone-fault)",
  warm: "var(--tone-warm)",
  quiet: "var(--tone-quiet)",
  ink: "var(--tone-ink)",
  paper: "var(--paper)",
  rule: "var(--rule)",
  soft: "var(--ink-soft)",
  wash: (tone) => `var(--wash-${tone})`,
  font: "var(--sans)",
};

/** For pictures and print: ink on white. */
export const printPalette: Palette = {
  lead: "#1c5a8a",
  second: "#1b7059",
  third: "#87457f",
  fourth: "#7d5700",
  fault: "#a93610",
  warm: "#7d5700",
  quiet: "#62615c",
  ink: "#1f232b",
  paper: "#ffffff",
  rule: "#dbd4c3",
  soft: "#50555e",
  wash: (tone) => `${printPalette[tone]}26`,
  font: "system-ui, sans-serif",
};

const fontSize = 13;
/** A cautious guess where no canvas can measure. */
const guessedWidth = (words: string): number => words.length * fontSize * 0.62;

const StrokePath = ({ stroke, palette }: { stroke: Stroke; palette: Palette }) => {
  const ink = palette[stroke.tone];
  const fills = { none: "none", wash: palette.wash(stroke.tone), full: ink, paper: palette.paper };
  return (
    <path
      d={stroke.path}
      fill={fills[stroke.fill]}
      stroke={stroke.width > 0 ? ink : undefined}
      stroke-width={stroke.width || undefined}
      stroke-dasharray={stroke.dashes?.join(" ")}
      stroke-linejoin="round"
    />
  );
};

/** An outline in the paper's colour keeps a word legible over a line. */
const WordText = ({ word, palette }: { word: PlotWord; palette: Palette }) => (
  <text
    x={word.x}
    y={word.y + 4.5}
    fill={palette[word.tone]}
    stroke={palette.paper}
    stroke-width="4"
    stroke-linejoin="round"
    paint-order="stroke"
    font-weight="600"
  >
    {word.words}
  </text>
);

const Axes = ({ plot, view, palette }: { plot: Plot; view: View; palette: Palette }) => {
  const { area } = view;
  const [bottom, right] = [area.top + area.height, area.left + area.width];
  const x = axisTicks(plot.x, view.x, area.width / 90);
  const y = axisTicks(plot.y, view.y, area.height / 50);
  const [xWords, yWords] = [tickWords(plot.x, x), tickWords(plot.y, y)];
  const at = (value: number, [low, high]: readonly [number, number], size: number) =>
    ((value - low) / (high - low)) * size;
  return (
    <g fill={palette.soft}>
      {y.map((tick, i) => {
        const top = bottom - at(tick, view.y, area.height);
        return (
          <g key={tick}>
            <path d={`M${area.left},${top.toFixed(1)}H${right}`} stroke={palette.rule} />
            <text x={area.left - 10} y={top + 4.5} text-anchor="end">
              {yWords[i]}
            </text>
          </g>
        );
      })}
      {x.map((tick, i) => (
        <text key={tick} x={area.left + at(tick, view.x, area.width)} y={bottom + 22} text-anchor="middle">
          {xWords[i]}
        </text>
      ))}
      <text x={area.left} y={bottom + 42}>{`${plot.x.label}, ${plot.x.unit}`}</text>
      <text x={Math.max(0, area.left - 48)} y={area.top - 12}>{`${plot.y.label}, ${plot.y.unit}`}</text>
    </g>
  );
};

type Props = Readonly<{
  plot: Plot;
  width?: number;
  height?: number;
  palette?: Palette;
  /** A stretch along x in place of the whole. */
  closer?: Extent;
}>;

/** The plot as one SVG; nothing where there is nothing to draw. */
export const PlotSvg = ({ plot, width = 790, height = 440, palette = pagePalette, closer }: Props) => {
  const extents = extentsOf(plot);
  if (!extents) return null;
  const gutter = gutterOf(plot, width, guessedWidth);
  const area = { left: 58, top: 34, width: width - 58 - gutter - 8, height: height - 34 - 52 };
  const view: View = { area, gutter, ...extents, ...(closer && { x: closer }), widthOf: guessedWidth };
  const { strokes, words } = plotShapes(plot, view);
  return (
    <svg
      viewBox={`0 0 ${width} ${height}`}
      role="img"
      aria-label={plot.title}
      font-family={palette.font}
      font-size={fontSize}
      xmlns="http://www.w3.org/2000/svg"
    >
      <Axes plot={plot} view={view} palette={palette} />
      {closer ? (
        <clipPath id="drawn">
          <rect x={area.left} y={area.top} width={area.width} height={area.height} />
        </clipPath>
      ) : null}
      <g clip-path={closer ? "url(#drawn)" : undefined}>
        {strokes.map((stroke) => (
          <StrokePath key={stroke.path} stroke={stroke} palette={palette} />
        ))}
      </g>
      {words.map((word) => (
        <WordText key={word.words} word={word} palette={palette} />
      ))}
    </svg>
  );
};

/** The marks that a line carries, which tell it from others where hues do not. */
const marksOn = (layer: Layer, { layers }: Plot): readonly Layer[] =>
  layer.as === "steps" || layer.as === "line"
    ? layers.filter(({ as, tone, label }) => as === "marks" && !label && tone === layer.tone).slice(0, 1)
    : [];

/** What each shape and line means, in words beside it. */
export const PlotKey = ({ plot }: { plot: Plot }) => (
  <ul class="key">
    {plot.layers.flatMap((layer) =>
      layer.label ? (
        <li key={layer.label}>
          <svg viewBox="0 0 18 14" aria-hidden="true">
            {[layer, ...marksOn(layer, plot)].map((one) => (
              <StrokePath key={one.as} stroke={swatchOf(one)} palette={pagePalette} />
            ))}
          </svg>
          {layer.label}
        </li>
      ) : (
        []
      ),
    )}
  </ul>
);
