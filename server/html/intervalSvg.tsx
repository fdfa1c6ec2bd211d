import { type Palette, pagePalette } from "./plotSvg.tsx";

/** One difference with the stretch it may lie in. Rows of one `scale` share it; 0 is where there is none. */
export type IntervalRow = Readonly<{
  label: string;
  scale: string;
  value: number;
  low: number | null;
  high: number | null;
  words: string;
  verdict: string;
  decided: boolean;
}>;

type Props = Readonly<{
  title: string;
  rows: readonly IntervalRow[];
  nothing: string;
  narrow?: boolean;
  palette?: Palette;
}>;

/** A bar that is open at one end needs room to be seen running on. */
const reachOf = (row: IntervalRow): number => {
  const isOpen = (row.low === null) !== (row.high === null);
  const reach = Math.max(
    Math.abs(row.value),
    Math.abs(row.low ?? row.value),
    Math.abs(row.high ?? row.value),
  );
  return isOpen ? reach * 1.4 : reach;
};

const widest = (rows: readonly IntervalRow[], scale: string): number =>
  rows.filter((row) => row.scale === scale).reduce((most, row) => Math.max(most, reachOf(row)), 0) || 1;

type Layout = Readonly<{ width: number; row: number; top: number; centre: number; half: number }>;
const wide: Layout = { width: 790, row: 44, top: 14, centre: 290, half: 100 };
const slim: Layout = { width: 340, row: 72, top: 8, centre: 170, half: 150 };

type RowProps = Readonly<{
  row: IntervalRow;
  y: number;
  at: (value: number) => number;
  /** How far the drawing reaches to either side. */
  ends: readonly [number, number];
  palette: Palette;
}>;

/** Where one end is not known the bar runs on to the edge and points there. */
const Stretch = ({ row, y, at, ends, palette }: RowProps) => {
  if (row.low === null && row.high === null) return null;
  const from = row.low === null ? ends[0] : at(row.low);
  const to = row.high === null ? ends[1] : at(row.high);
  const open = row.low === null ? -1 : row.high === null ? 1 : 0;
  const tip = open < 0 ? from : to;
  return (
    <>
      <path
        d={`M${from.toFixed(1)},${y}H${to.toFixed(1)}`}
        stroke={palette.lead}
        stroke-width="8"
        stroke-linecap={open === 0 ? "round" : "butt"}
        opacity="0.4"
      />
      {open === 0 ? null : (
        <path
          d={`M${(tip - open * 2).toFixed(1)},${y - 7}L${(tip + open * 8).toFixed(1)},${y}L${(tip - open * 2).toFixed(1)},${y + 7}`}
          fill="none"
          stroke={palette.lead}
          stroke-width="2"
          stroke-linejoin="round"
        />
      )}
    </>
  );
};

const Bar = (props: RowProps) => {
  const { row, y, at, palette } = props;
  return (
    <>
      <Stretch {...props} />
      <circle
        cx={at(row.value).toFixed(1)}
        cy={y}
        r="6"
        fill={row.decided ? palette.lead : palette.paper}
        stroke={palette.lead}
        stroke-width="2"
      />
    </>
  );
};

const weight = (strong: boolean) => (strong ? "600" : undefined);

const lineHeight = 16;

const mostLines = 3;
const letters = { wide: 26, slim: 27 } as const;

/** As many words a line as fit; the last line is cut where all of them do not suffice. */
function lined(words: string, most: number, left: number = mostLines): readonly string[] {
  if (words.length <= most) return [words];
  if (left === 1) return [`${words.slice(0, most - 1).trimEnd()}…`];
  const cut = words.lastIndexOf(" ", most);
  const first = words.slice(0, cut > 0 ? cut : most);
  return [first, ...lined(words.slice(first.length).trim(), most, left - 1)];
}

/** The last of its lines stands at `y`, or their middle. */
const Label = ({ words, y, most, middle, palette }: LabelProps) => {
  const lines = lined(words, most);
  const top = y - (lines.length - 1) * (middle ? lineHeight / 2 : lineHeight);
  return (
    <text fill={palette.ink} font-weight="600">
      {lines.map((line, i) => (
        <tspan key={line} x="0" y={top + i * lineHeight}>
          {line}
        </tspan>
      ))}
    </text>
  );
};

type LabelProps = Readonly<{ words: string; y: number; most: number; middle?: boolean; palette: Palette }>;

const WideRow = (props: RowProps) => {
  const { row, y, palette } = props;
  return (
    <g>
      <Label words={row.label} y={y + 5} most={letters.wide} middle palette={palette} />
      <Bar {...props} />
      <text x={wide.centre + wide.half + 24} y={y + 5} fill={palette.soft}>
        {row.words}
      </text>
      <text x="790" y={y + 5} text-anchor="end" fill={palette.ink} font-weight={weight(row.decided)}>
        {row.verdict}
      </text>
    </g>
  );
};

const SlimRow = (props: RowProps) => {
  const { row, y, palette } = props;
  return (
    <g>
      <Label words={row.label} y={y - 16} most={letters.slim} palette={palette} />
      <text x="340" y={y - 16} text-anchor="end" fill={palette.ink} font-weight={weight(row.decided)}>
        {row.verdict}
      </text>
      <Bar {...props} />
      <text x="0" y={y + 24} fill={palette.soft}>
        {row.words}
      </text>
    </g>
  );
};

/** Differences with their intervals, each row on the scale of its own unit. */
export const IntervalSvg = ({ title, rows, nothing, narrow = false, palette = pagePalette }: Props) => {
  if (rows.length === 0) return null;
  const usual = narrow ? slim : wide;
  const most = Math.max(
    ...rows.map(({ label }) => lined(label, narrow ? letters.slim : letters.wide).length),
  );
  const layout = { ...usual, row: usual.row + Math.max(0, most - 2) * lineHeight };
  const bottom = layout.top + rows.length * layout.row;
  const Row = narrow ? SlimRow : WideRow;
  return (
    <svg
      viewBox={`0 0 ${layout.width} ${bottom + 28}`}
      role="img"
      aria-label={title}
      font-family={palette.font}
      font-size="13.5"
      xmlns="http://www.w3.org/2000/svg"
    >
      <path
        d={`M${layout.centre},${layout.top - 8}V${bottom}`}
        stroke={palette.quiet}
        stroke-dasharray="1 3"
      />
      <text x={layout.centre} y={bottom + 20} text-anchor="middle" fill={palette.soft}>
        {nothing}
      </text>
      {rows.map((row, i) => {
        const at = (value: number) => layout.centre + (value / widest(rows, row.scale)) * layout.half;
        return (
          <Row
            key={row.label}
            row={row}
            y={layout.top + (i + (narrow ? 1 : 0.5)) * layout.row - (narrow ? usual.row / 2 : 0)}
            at={at}
            ends={[layout.centre - layout.half, layout.centre + layout.half]}
            palette={palette}
          />
        );
      })}
    </svg>
  );
};
