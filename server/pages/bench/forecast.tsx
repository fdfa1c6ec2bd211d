import type { HeatExpected } from "../../answers/heatForecast.ts";
import { type Chip, readLimitC } from "../../bench/things/chip.ts";
import { ChartFigure } from "../../html/chartFigure.tsx";
import { LineWithMore } from "../../html/entry.tsx";
import { formatDuration, formatMilli, formatNumber } from "../../html/format.ts";
import { Note } from "../../html/note.tsx";
import { ClockUnit } from "../kit/clockUnit.ts";
import { settingWords } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";
import { type Dialled, DialledSetting, DialledTime } from "./dialled.tsx";
import { type DialledLevel, LevelOnDials, LevelTime } from "./dialledLevel.tsx";
import { HeatStrip, slimStrip, wideStrip } from "./heatStrip.tsx";
import type { HeatAtSetting } from "./shown.ts";

type Props = Readonly<{
  heat: HeatAtSetting | null;
  /** Whether the page asks already to confirm a voltage above the ceiling: it is said once. */
  isAsked: boolean;
}>;

type PieceShown = Readonly<{
  heat: HeatAtSetting | null;
  dialled: Dialled | null;
  level: DialledLevel | null;
  chip: Chip;
}>;

/** What follows the dials, for a swap: the forecast, and the heading above them with how long. */
export const forecastPiece = ({ heat, dialled, level, chip }: PieceShown) => (
  <ClockUnit.Provider value={chip.clockUnit}>
    <Forecast heat={heat} isAsked={false} isForeseen={chip.axis === "clock"} />
    {level === null ? null : (
      <>
        <LevelOnDials dialled={level} swap />
        <LevelTime dialled={level} swap />
      </>
    )}
    {dialled === null || level !== null ? null : (
      <>
        <DialledSetting dialled={dialled} swap />
        <DialledTime dialled={dialled} swap />
      </>
    )}
  </ClockUnit.Provider>
);

/** What the dials' setting would heat up to, and what to mind before arming it. */
export const Forecast = ({ heat, isAsked, isForeseen }: Props & { isForeseen: boolean }) => (
  <div id="forecast" class="forecast" aria-live="polite">
    {heat === null && !isForeseen ? null : heat === null ? (
      <p class="quiet">Set a clock and a voltage to see how hot it should get.</p>
    ) : (
      <Expected heat={heat} isAsked={isAsked} />
    )}
  </div>
);

const Expected = ({ heat, isAsked }: Props & { heat: HeatAtSetting }) => {
  const { expected } = heat;
  return (
    <>
      {"unknown" in expected.hottest ? (
        <p class="quiet unforetold">No heat forecast for this setting. {expected.hottest.unknown}</p>
      ) : (
        <ChartFigure
          name="heat"
          kind="still"
          caption={<Caption heat={heat} />}
          narrow={<HeatStrip expected={expected} layout={slimStrip} words={spareWords(expected)} />}
        >
          <HeatStrip expected={expected} layout={wideStrip} words={spareWords(expected)} />
        </ChartFigure>
      )}
      <Cautions heat={heat} isAsked={isAsked} />
    </>
  );
};

const degrees = (celsius: number): string => `${formatNumber(celsius, 0)}\u00a0°C`;

/** The hot end of the forecast decides: its middle, of which answers tell, lies further off. */
function spareWords({ marginC, hottest }: HeatExpected): string {
  if (marginC === null || "unknown" in hottest) return "Heat unknown";
  return marginC >= 0
    ? `At least ${degrees(Math.floor(marginC))} to spare`
    : `Up to ${degrees(Math.ceil(-marginC))} over the limit`;
}

/** What is to spare in one line; from what to what, on which evidence, a tap away. */
const Caption = ({ heat }: { heat: HeatAtSetting }) => {
  const { expected } = heat;
  const { hottest, today, build } = expected;
  if ("unknown" in hottest) return null;
  const spare = (
    <>
      <b class={expected.margin === "tight" ? "warm" : undefined}>
        {expected.margin === "tight"
          ? `Tight: ${spareWords(expected).replace(/^A/, "a")}`
          : spareWords(expected)}
      </b>
      , room {degrees(build.hottestAmbientC)}
    </>
  );
  return (
    <LineWithMore line={spare} more="More" keep="heat">
      {expected.margin === "tight"
        ? `The hot end of this forecast comes within ${degrees(expected.chip.warnMarginC)} of the limit. `
        : ""}
      With {settingWords(heat, expected.chip)}: {formatNumber(hottest.low, 0)} to {degrees(hottest.high)},
      nine times in ten
      {today
        ? `; today, in a room of ${degrees(today.ambientC)}, ${formatNumber(today.forecast.low, 0)} to ${degrees(today.forecast.high)}`
        : ""}
      . {hottest.because}
      {expected.isBeyond ? " None of them went this far, so the forecast reaches beyond what was seen." : ""}
    </LineWithMore>
  );
};

const coldWords = ({ lowestTempC }: Chip): string =>
  `It may run below ${degrees(lowestTempC ?? 0)}, the chip's own cold limit: a failure there says nothing of the clock.`;

const watchedS = 7200;

const Cautions = ({ heat: { expected, voltageMv, plannedS }, isAsked }: Props & { heat: HeatAtSetting }) => {
  const { chip, margin } = expected;
  const { voltageCeilingMv } = chip;
  return (
    <>
      {margin === "over" ? <Note>{overWords(expected)}</Note> : null}
      {expected.isTooCold ? <Note>{coldWords(chip)}</Note> : null}
      {voltageCeilingMv !== null && voltageMv > voltageCeilingMv && !isAsked ? (
        <Note>
          {formatMilli(voltageMv)} V lies above the ceiling of {formatMilli(voltageCeilingMv)} V set for{" "}
          {chip.name}. You will be asked to confirm it. <a href={paths.cautions()}>What to mind</a>
        </Note>
      ) : null}
      {plannedS !== null && plannedS >= watchedS ? (
        <Note>
          {formatDuration(plannedS)} is long to leave a bench alone: see that a fault can do no harm, and that
          what matters is backed up.
        </Note>
      ) : null}
    </>
  );
};

const overWords = ({ chip }: HeatExpected): string =>
  `The hot end of this forecast passes the limit of ${degrees(readLimitC(chip))}. Stay with the machine if you run it.`;
