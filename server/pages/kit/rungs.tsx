import type { BuildAnswer } from "../../answers/answerOf.ts";
import type { VoltageAnswer } from "../../bench/best/bestSetting.ts";
import { wholeDegrees } from "../../bench/frontier/margin.ts";
import { formatMilli, formatNumber } from "../../html/format.ts";
import { useClockUnit } from "./clockUnit.ts";

type Rung = VoltageAnswer & Readonly<{ isAnswer: boolean; isTried: boolean }>;

const columnPx = 62;
const heightPx = 128;
const [topPx, bottomPx] = [26, 84];

/** What is known at each voltage as a strip: the answer's height, what is done struck off, what is open between its bounds. */
export const Rungs = ({ answer, namedMv }: Readonly<{ answer: BuildAnswer; namedMv: readonly number[] }>) => {
  const clockUnit = useClockUnit();
  const rungs = rungsOf(answer, namedMv);
  if (rungs.length < 2) return null;
  const clocks = rungs.flatMap(({ clockMhz, lowMhz, highMhz }) =>
    [clockMhz, lowMhz, highMhz].filter((mhz): mhz is number => mhz !== null),
  );
  const [low, high] = [Math.min(...clocks), Math.max(...clocks)];
  const y = (mhz: number): number => bottomPx - ((bottomPx - topPx) * (mhz - low)) / Math.max(1, high - low);
  const widthPx = columnPx * rungs.length;
  return (
    <figure class="rungs">
      <svg
        viewBox={`0 0 ${widthPx} ${heightPx}`}
        width={widthPx}
        height={heightPx}
        role="img"
        aria-label={`What to run at each voltage: ${rungs.map((rung) => wordsOf(rung, clockUnit)).join("; ")}`}
      >
        {rungs.map((rung, i) => (
          <RungMark key={rung.voltageMv} rung={rung} x={columnPx * i} y={y} />
        ))}
      </svg>
      <figcaption>
        Answers in {clockUnit} over the voltage set, V. A box: the answer will lie there, it has not run yet.
        Struck off: known near enough, or ruled out.{tooWarmIn(rungs, clockUnit)}
      </figcaption>
    </figure>
  );
};

function rungsOf({ atVoltages, setting }: BuildAnswer, namedMv: readonly number[]): Rung[] {
  const tried = atVoltages.map((one) => ({
    ...one,
    isTried: true,
    isAnswer: setting !== null && setting.voltageMv === one.voltageMv && setting.clockMhz === one.clockMhz,
  }));
  const untried = namedMv
    .filter((mv) => !atVoltages.some(({ voltageMv }) => voltageMv === mv))
    .map((voltageMv) => ({ ...nothingAt, voltageMv, isTried: false, isAnswer: false }));
  return [...tried, ...untried].sort((a, b) => a.voltageMv - b.voltageMv);
}

const nothingAt = {
  clockMhz: null,
  chance: null,
  marginC: null,
  lowMhz: null,
  highMhz: null,
  done: false,
  objection: null,
};

/** Else its voltage is above what the chip's entry allows. */
const isOfHeat = (objection: string): boolean => /°C|Heat/.test(objection);

function stateOf({ isAnswer, isTried, objection, done }: Rung): string {
  if (isAnswer) return "run this";
  if (!isTried) return "to try";
  if (objection !== null) return isOfHeat(objection) ? "too warm" : "ruled out";
  return done ? "done" : "open";
}

/** Why a voltage is struck off though nobody searched it to the end: what was found there leaves too little margin. */
function tooWarmIn(rungs: readonly Rung[], clockUnit: string): string {
  const warm = rungs.flatMap(({ voltageMv, clockMhz, marginC, objection, isAnswer }) =>
    objection === null || !isOfHeat(objection) || isAnswer || marginC === null || clockMhz === null
      ? []
      : [`${formatNumber(clockMhz)} ${clockUnit} at ${formatMilli(voltageMv)} V, ${spareIn(marginC)}`],
  );
  return warm.length === 0 ? "" : ` Too warm in the hottest room planned for: ${warm.join("; ")}.`;
}

const spareIn = (marginC: number): string =>
  `${wholeDegrees(marginC)} °C ${marginC < 0 ? "over the limit" : "to spare"}`;

const wordsOf = (rung: Rung, clockUnit: string): string =>
  `${formatMilli(rung.voltageMv)} V ${rung.clockMhz === null ? "" : `${formatNumber(rung.clockMhz)} ${clockUnit}, `}${stateOf(rung)}`;

type MarkProps = Readonly<{ rung: Rung; x: number; y: (mhz: number) => number }>;

const RungMark = ({ rung, x, y }: MarkProps) => {
  const { voltageMv, clockMhz, lowMhz, highMhz, done, isAnswer, objection } = rung;
  const middle = x + columnPx / 2;
  const isSettled = done || objection !== null;
  const open = !isSettled && !isAnswer && lowMhz !== null && highMhz !== null && highMhz > lowMhz;
  const [left, wide] = [x + 10, columnPx - 20];
  return (
    <g class={isAnswer ? "rung answer" : "rung"}>
      {open ? (
        <>
          <rect
            class="open"
            x={left}
            y={y(highMhz)}
            width={wide}
            height={Math.max(3, y(lowMhz) - y(highMhz))}
          />
          <text x={middle} y={y(highMhz) - 6}>
            {formatNumber(highMhz)}
          </text>
          <text x={middle} y={y(lowMhz) + 15}>
            {formatNumber(lowMhz)}
          </text>
        </>
      ) : clockMhz === null ? null : (
        <>
          <line x1={left} x2={left + wide} y1={y(clockMhz)} y2={y(clockMhz)} />
          <text class="clock" x={middle} y={y(clockMhz) - 7}>
            {formatNumber(clockMhz)}
          </text>
        </>
      )}
      <text
        class="volts"
        x={middle}
        y={heightPx - 16}
        text-decoration={isSettled ? "line-through" : undefined}
      >
        {formatMilli(voltageMv)}
      </text>
      <text class="state" x={middle} y={heightPx - 2}>
        {stateOf(rung)}
      </text>
    </g>
  );
};
