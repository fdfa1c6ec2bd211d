import type { MomentAhead } from "../../bench/heat/courseAhead.ts";
import { ChartFigure } from "../../html/chartFigure.tsx";
import { formatDuration, formatNumber } from "../../html/format.ts";
import { Note } from "../../html/note.tsx";
import type { Layer, Plot, Tone } from "../../html/plot.ts";
import { PlotKey, PlotSvg } from "../../html/plotSvg.tsx";
import { paths } from "../paths.ts";
import type { LiveCurve, LiveShown } from "./liveShown.ts";
import { keptOnFailure } from "./swaps.ts";

/** Alone, for a swap. */
export const livePiece = (live: LiveShown) => <LivePiece live={live} />;

/** Long traces change slowly, and are looked through at a price. */
const longRows = 5400;

function oftenFor(curve: LiveCurve | null): string {
  if (curve?.isAwaited === true) return "every 1s";
  return curve !== null && curve.rows > longRows ? "every 30s" : "every 5s";
}

/** What comes in while the attempt runs: the curve, where it would level, and whether to stop. Asks for itself again. */
export const LivePiece = ({ live }: { live: LiveShown }) => {
  const { attemptId, isRunning, curve } = live;
  const again = isRunning
    ? ({
        "hx-get": paths.liveHeat(attemptId),
        "hx-trigger": oftenFor(curve),
        "hx-swap": "outerHTML",
        ...keptOnFailure,
      } as const)
    : {};
  return (
    <div id="live-heat" class="live" {...again}>
      {curve === null ? <NothingComesIn live={live} /> : <Curve curve={curve} />}
    </div>
  );
};

const NothingComesIn = ({ live: { isRecorded, isTold } }: { live: LiveShown }) => (
  <p class="quiet">
    {isTold ? (
      "What the machine reads is drawn here as it comes in."
    ) : isRecorded ? (
      <>
        No reading of <a href={paths.sensors()}>this machine's sensors</a> has come in yet.
      </>
    ) : (
      <>
        No samples come in. <a href={paths.sensors()}>Record this machine's own sensors</a>, or read its log
        once it has ended.
      </>
    )}
  </p>
);

const silenceS = 20;

const Curve = ({ curve }: { curve: LiveCurve }) => {
  const { ahead, lastC, silentS } = curve;
  const plot = livePlot(curve);
  return (
    <>
      <p class="live-reading">
        {lastC === null ? "No temperature" : `${formatNumber(lastC, 1)}\u00a0°C`}
        {silentS > silenceS ? (
          <span class="quiet">, {formatDuration(silentS)} ago: nothing has come in since</span>
        ) : null}
      </p>
      <Forecast curve={curve} />
      <ChartFigure
        name="live"
        kind="still"
        caption={
          ahead?.course
            ? "Recorded so far. Dashed is where it would go from here, in its 95 % band."
            : "Recorded so far."
        }
        narrow={<PlotSvg plot={plot} width={360} height={260} />}
        legend={<PlotKey plot={plot} />}
      >
        <PlotSvg plot={plot} height={300} />
      </ChartFigure>
    </>
  );
};

const Forecast = ({ curve: { ahead } }: { curve: LiveCurve }) => {
  if (ahead === null) return null;
  const { forecast } = ahead;
  if (forecast.state !== "forecast") return <p>{forecast.because}</p>;
  if (forecast.crossesLimit === "no") return <p>{forecast.sentence}</p>;
  return <Note>{forecast.sentence}</Note>;
};

const aheadLayers = (course: readonly MomentAhead[], tone: Tone): readonly Layer[] => [
  { as: "band", tone, points: course.map(({ s, lowC, highC }) => [s / 60, lowC, highC]) },
  {
    ...{ as: "line", tone, dashed: true, label: "would go" },
    points: course.map(({ s, midC }) => [s / 60, midC]),
  },
];

function livePlot({ points, ahead, tempLimitC, lastC, tone }: LiveCurve): Plot {
  const course = ahead?.course ?? [];
  const hottestC = Math.max(lastC ?? -100, ...course.map(({ highC }) => highC));
  const isNear = tempLimitC !== null && tempLimitC - hottestC < 25;
  return {
    title: "Temperature of the run so far",
    x: { label: "time since it was armed", unit: "min" },
    y: { label: "temperature", unit: "°C" },
    layers: [
      ...(isNear ? ([{ as: "rule", axis: "y", tone: "warm", at: tempLimitC, label: "limit" }] as const) : []),
      ...(course.length > 0 ? aheadLayers(course, tone) : []),
      { as: "line", tone, label: "measured", points: points.map(([s, c]) => [s / 60, c] as const) },
    ],
  };
}
