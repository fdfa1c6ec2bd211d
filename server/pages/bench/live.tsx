import { ChartFigure } from "../../html/chartFigure.tsx";
import { formatDuration, formatNumber } from "../../html/format.ts";
import { Note } from "../../html/note.tsx";
import type { Plot } from "../../html/plot.ts";
import { PlotKey, PlotSvg } from "../../html/plotSvg.tsx";
import { paths } from "../paths.ts";
import type { LiveCurve, LiveShown } from "./liveShown.ts";

/** Alone, for a swap. */
export const livePiece = (live: LiveShown) => <LivePiece live={live} />;

/** Long traces change slowly, and are looked through at a price. */
const longRows = 5400;

/** What comes in while the attempt runs: the curve, where it would level, and whether to stop. Asks for itself again. */
export const LivePiece = ({ live }: { live: LiveShown }) => {
  const { attemptId, isRunning, curve } = live;
  const every = curve !== null && curve.rows > longRows ? "every 30s" : "every 5s";
  const again = isRunning
    ? ({ "hx-get": paths.liveHeat(attemptId), "hx-trigger": every, "hx-swap": "outerHTML" } as const)
    : {};
  return (
    <div id="live-heat" class="live" {...again}>
      {curve === null ? <NothingComesIn live={live} /> : <Curve curve={curve} />}
    </div>
  );
};

const NothingComesIn = ({ live: { isRecorded } }: { live: LiveShown }) => (
  <p class="quiet">
    {isRecorded ? (
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
  const { forecast, lastC, silentS } = curve;
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
          forecast?.state === "forecast" ? "Recorded so far, with where it tends." : "Recorded so far."
        }
        narrow={<PlotSvg plot={plot} width={360} height={260} />}
        legend={<PlotKey plot={plot} />}
      >
        <PlotSvg plot={plot} height={300} />
      </ChartFigure>
    </>
  );
};

const Forecast = ({ curve: { forecast } }: { curve: LiveCurve }) => {
  if (forecast === null) return null;
  if (forecast.state !== "forecast") return <p>{forecast.because}</p>;
  if (forecast.crossesLimit === "no") return <p>{forecast.sentence}</p>;
  return <Note>{forecast.sentence}</Note>;
};

function livePlot({ points, forecast, tempLimitC, lastC }: LiveCurve): Plot {
  const found = forecast?.state === "forecast" ? forecast : null;
  const isNear = tempLimitC !== null && tempLimitC - Math.max(lastC ?? -100, found?.highC ?? -100) < 25;
  return {
    title: "Temperature of the run so far",
    x: { label: "time since it was armed", unit: "min" },
    y: { label: "temperature", unit: "°C" },
    layers: [
      ...(isNear ? ([{ as: "rule", axis: "y", tone: "warm", at: tempLimitC, label: "limit" }] as const) : []),
      ...(found
        ? ([
            { as: "zone", axis: "y", tone: "third", from: found.lowC, to: found.highC },
            { as: "rule", axis: "y", tone: "third", at: found.finalC, label: "tends to" },
          ] as const)
        : []),
      { as: "line", tone: "lead", label: "measured", points: points.map(([s, c]) => [s / 60, c] as const) },
    ],
  };
}
