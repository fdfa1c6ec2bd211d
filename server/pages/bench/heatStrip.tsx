import type { HeatExpected } from "../../answers/heatForecast.ts";
import type { HeatForecast } from "../../bench/heat/lawOfHeat.ts";
import { readLimitC } from "../../bench/things/chip.ts";
import { formatNumber } from "../../html/format.ts";
import { pagePalette as ink } from "../../html/plotSvg.tsx";
import { ticksOf } from "../../html/ticks.ts";

type Layout = Readonly<{
  width: number;
  height: number;
  left: number;
  right: number;
  /** None where the figures beside the marks must do. */
  ticks: number;
  hottest: number;
  today: number;
  axis: number;
}>;
/** Left of the scale there is room for what a bar is called. */
export const wideStrip: Layout = {
  ...{ left: 40, right: 64 },
  ...{ width: 790, height: 108, ticks: 6, hottest: 44, today: 66, axis: 82 },
};
export const slimStrip: Layout = {
  ...{ left: 84, right: 64 },
  ...{ width: 340, height: 70, ticks: 0, hottest: 34, today: 54, axis: 67 },
};

type Scale = (celsius: number) => number;

/** From a little under what is expected to a little over the limit. */
function reachOf({ hottest, today, chip }: HeatExpected): readonly [number, number] {
  const expected = "unknown" in hottest ? [] : [hottest.low, hottest.high];
  const all = [...expected, today?.forecast.low ?? readLimitC(chip), readLimitC(chip)];
  const [low, high] = [Math.min(...all), Math.max(...all)];
  const room = Math.max(4, 0.12 * (high - low));
  return [low - room, high + room];
}

const Bar = ({
  at,
  y,
  forecast,
  strong,
}: {
  at: Scale;
  y: number;
  forecast: HeatForecast;
  strong: boolean;
}) => (
  <>
    <path
      d={`M${at(forecast.low).toFixed(1)},${y}H${at(forecast.high).toFixed(1)}`}
      stroke={ink.lead}
      stroke-width={strong ? 9 : 5}
      stroke-linecap="round"
      opacity={strong ? 0.5 : 0.35}
    />
    <circle
      cx={at(forecast.mid).toFixed(1)}
      cy={y}
      r={strong ? 6.5 : 4.5}
      fill={strong ? ink.lead : ink.paper}
      stroke={ink.lead}
      stroke-width="2"
    />
  </>
);

/** The stretch within the warning margin, and the limit itself. */
const Limit = ({ at, expected, layout }: { at: Scale; expected: HeatExpected; layout: Layout }) => {
  const { warnMarginC } = expected.chip;
  const tempLimitC = readLimitC(expected.chip);
  const from = Math.max(layout.left, at(tempLimitC - warnMarginC));
  const isRight = "unknown" in expected.hottest || expected.hottest.mid <= tempLimitC;
  return (
    <>
      <rect
        x={from.toFixed(1)}
        y={layout.hottest - 18}
        width={Math.max(0, at(tempLimitC) - from).toFixed(1)}
        height={layout.axis - layout.hottest + 18}
        fill={ink.wash("warm")}
      />
      <path
        d={`M${at(tempLimitC).toFixed(1)},${layout.hottest - 32}V${layout.axis}`}
        stroke={ink.warm}
        stroke-width="2.5"
      />
      <text
        x={(at(tempLimitC) + (isRight ? 7 : -7)).toFixed(1)}
        y={layout.hottest - 20}
        text-anchor={isRight ? undefined : "end"}
        fill={ink.soft}
      >
        limit {formatNumber(tempLimitC)}
      </text>
    </>
  );
};

const Axis = ({ at, ticks, layout }: { at: Scale; ticks: readonly number[]; layout: Layout }) => (
  <>
    <path d={`M0,${layout.axis}H${layout.width}`} stroke={ink.rule} stroke-width="1.5" />
    {ticks.map((tick, i) => (
      <text key={tick} x={at(tick).toFixed(1)} y={layout.axis + 20} text-anchor="middle" fill={ink.soft}>
        {formatNumber(tick)}
        {i === ticks.length - 1 ? " °C" : ""}
      </text>
    ))}
  </>
);

const letterWidth = 8;

type RowProps = Readonly<{ at: Scale; y: number; forecast: HeatForecast; words: string }>;

/** Beside its bar: left of it where there is room. */
const RowLabel = ({ at, y, forecast, words }: RowProps) => {
  const isLeft = at(forecast.low) - 12 > words.length * letterWidth;
  return (
    <text
      x={(isLeft ? at(forecast.low) - 12 : at(forecast.high) + 12).toFixed(1)}
      y={y + 5}
      text-anchor={isLeft ? "end" : undefined}
      fill={ink.soft}
    >
      {words}
    </text>
  );
};

type ExpectationProps = Readonly<{ at: Scale; y: number; expected: HeatExpected; forecast: HeatForecast }>;

/** The middle in figures, over its dot, clear of the limit's own words. */
const Expectation = ({ at, y, expected, forecast }: ExpectationProps) => {
  const limit = at(readLimitC(expected.chip));
  const mid = at(forecast.mid);
  const isBefore = mid <= limit;
  const clear = isBefore ? Math.min(mid, limit - 32) : Math.max(mid, limit + 32);
  return (
    <text
      x={clear.toFixed(1)}
      y={y - 14}
      text-anchor="middle"
      fill={ink.ink}
      font-weight="600"
      stroke={ink.paper}
      stroke-width="4"
      paint-order="stroke"
    >
      {formatNumber(forecast.mid, 0)} °C
    </text>
  );
};

type Props = Readonly<{ expected: HeatExpected; layout: Layout; words: string }>;

/** Where the load temperature should come to lie: in the hottest room planned for, and in today's. */
export const HeatStrip = ({ expected, layout, words }: Props) => {
  const { hottest, today, build } = expected;
  if ("unknown" in hottest) return null;
  const [low, high] = reachOf(expected);
  const room = layout.width - layout.left - layout.right;
  const at: Scale = (celsius) => layout.left + ((celsius - low) / (high - low)) * room;
  return (
    <svg
      viewBox={`0 0 ${layout.width} ${layout.height}`}
      role="img"
      aria-label={words}
      font-family={ink.font}
      font-size="14"
      xmlns="http://www.w3.org/2000/svg"
    >
      <Limit at={at} expected={expected} layout={layout} />
      <Axis at={at} ticks={layout.ticks === 0 ? [] : ticksOf([low, high], layout.ticks)} layout={layout} />
      <Bar at={at} y={layout.hottest} forecast={hottest} strong />
      {today ? <Bar at={at} y={layout.today} forecast={today.forecast} strong={false} /> : null}
      <RowLabel
        at={at}
        y={layout.hottest}
        forecast={hottest}
        words={`${formatNumber(build.hottestAmbientC)} °C room`}
      />
      {today ? (
        <RowLabel
          at={at}
          y={layout.today}
          forecast={today.forecast}
          words={`today ${formatNumber(today.forecast.mid, 0)}`}
        />
      ) : null}
      <Expectation at={at} y={layout.hottest} expected={expected} forecast={hottest} />
    </svg>
  );
};
