import type { ComponentChildren } from "preact";

type Props = Readonly<{
  /** Its name in the page's chart block. */
  name: string;
  /** How the script redraws it: `plot` and `lines` on a canvas; a `still` stays the SVG it is. */
  kind: "plot" | "lines" | "still";
  /** Null where one beside it says the same. */
  caption: ComponentChildren;
  /** The chart as SVG: what is seen without script, printed and saved. */
  children: ComponentChildren;
  /** A second drawing for a narrow screen. */
  narrow?: ComponentChildren;
  /** What the shapes mean, for a screen too narrow for labels on the chart. */
  legend?: ComponentChildren;
}>;

export const ChartFigure = ({ name, kind, caption, children, narrow, legend }: Props) => (
  <figure
    class="chart"
    id={`chart-${name}`}
    data-plot={kind === "plot" ? "" : undefined}
    data-lines={kind === "lines" ? "" : undefined}
    data-chart-name={name}
  >
    <div class={narrow ? "still wide" : "still"}>{children}</div>
    {narrow ? <div class="still slim">{narrow}</div> : null}
    {legend}
    {caption === null ? null : <figcaption>{caption}</figcaption>}
  </figure>
);

type LinksProps = Readonly<{ name: string; table?: string; more?: ComponentChildren }>;

/** Beside a chart: its table, and the picture to keep. */
export const ChartLinks = ({ name, table, more }: LinksProps) => (
  <div class="chart-links">
    {table ? <a href={`#${table}`}>table</a> : null}
    <span class="needs-script">
      <button class="plain" type="button" data-save="svg" data-save-from={`chart-${name}`}>
        save SVG
      </button>
      <button class="plain" type="button" data-save="png" data-save-from={`chart-${name}`}>
        save PNG
      </button>
    </span>
    {more}
  </div>
);
