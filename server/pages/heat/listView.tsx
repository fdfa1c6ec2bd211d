import type { Attempt } from "../../bench/things/attempt.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { ChartFigure, ChartLinks } from "../../html/chartFigure.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry } from "../../html/entry.tsx";
import { ChoiceField, Fields } from "../../html/field.tsx";
import { formatCount, formatDuration, formatNumber, formatRange } from "../../html/format.ts";
import { ChartBlock } from "../../html/jsonBlock.tsx";
import { type LineChart, plotOfLines } from "../../html/lineChart.ts";
import { RefusalNote } from "../../html/note.tsx";
import { PlotKey, PlotSvg } from "../../html/plotSvg.tsx";
import { ListedMoment } from "../../html/quantity.tsx";
import { type Column, Rows, Table } from "../../html/table.tsx";
import { type OverlayAs, overlayChart } from "../kit/heatOverlay.ts";
import { SettingInWords, settingWords } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";
import { commonWords, LikeWithLike } from "./likeWithLike.tsx";
import type { HeatListShown } from "./listShown.ts";
import { mostOverlaid, type OverlaidRun } from "./overlay.ts";

/** Heat runs over one another, then all there are. */
export const HeatPage = ({ frame, shown }: { frame: Frame; shown: HeatListShown }) => {
  const { overlaid, page, as, awaited } = shown;
  if (page.items.length === 0 && overlaid.length === 0 && awaited === 0) return <NothingYet frame={frame} />;
  const chart = overlayChart(overlaid, as);
  return (
    <Document title="Heat" frame={frame} charts={{ overlay: chart }}>
      <OverlayEntries shown={shown} chart={chart} />
      <RunsEntry shown={shown} />
    </Document>
  );
};

/** What replaces a page that did not wait for long traces. */
export const OverlayPieces = ({ shown }: { shown: HeatListShown }) => {
  const chart = overlayChart(shown.overlaid, shown.as);
  return (
    <>
      <ChartBlock charts={{ overlay: chart }} />
      <OverlayEntries shown={shown} chart={chart} />
    </>
  );
};

const OverlayEntries = ({ shown, chart }: { shown: HeatListShown; chart: LineChart }) => (
  <>
    <Entry id="overlay" aside={<Choice shown={shown} />}>
      <Answer heading={headingOf(shown)}>{leadOf(shown)}</Answer>
      <RefusalNote refused={shown.refused} />
      <LikeWithLike shown={shown} />
      {shown.awaited > 0 ? <BeingRead shown={shown} /> : null}
      {shown.overlaid.length > 0 ? <OverlayFigure chart={chart} as={shown.as} /> : null}
    </Entry>
    <Entry
      id="overlay-table"
      aside={shown.overlaid.length > 0 ? <ChartLinks name="overlay" table="overlaid" /> : null}
    >
      {shown.overlaid.length > 0 ? (
        <div class="overlaid">
          <Table
            caption="The runs laid over one another"
            columns={overlaidColumns(commonWords(shown) === null)}
            rows={shown.overlaid}
            id="overlaid"
          />
        </div>
      ) : null}
    </Entry>
  </>
);

const BeingRead = ({ shown: { awaited, wanted, as } }: { shown: HeatListShown }) => {
  const query = { as, runs: wanted.join(",") };
  return (
    <p class="quiet">
      {awaited === 1 ? "A long trace is" : `${awaited} long traces are`} being read;{" "}
      <a href={paths.heat(query)}>look again</a> in a moment.
      <span data-later={paths.heatOverlay(query)} />
    </p>
  );
};

const NothingYet = ({ frame }: { frame: Frame }) => (
  <Document title="Heat" frame={frame}>
    <Entry>
      <Answer heading="No attempt has a sensor log yet">
        Open an attempt that has ended and add the log that was written while it ran, or let samples come in
        while the next one runs.
      </Answer>
      <Act>
        <ButtonLink href={paths.bench()} first>
          To the bench
        </ButtonLink>
      </Act>
    </Entry>
  </Document>
);

function headingOf({ overlaid, as, awaited }: HeatListShown): string {
  const levels = overlaid.flatMap(({ run }) => {
    const value = as === "rise" ? run.rise?.mid : run.level?.meanC;
    return value === undefined ? [] : [value];
  });
  if (overlaid.length === 0 && awaited > 0) return "Long traces are being read";
  if (overlaid.length === 0) return "Choose runs to lay over one another";
  const over = as === "rise" ? "over the room " : "";
  if (levels.length === 0) return `${formatCount(overlaid.length, "run")}, none with a level`;
  const [low, high] = [Math.min(...levels), Math.max(...levels)];
  const range =
    levels.length === 1 ? `${formatNumber(low, 1)}\u00a0°C` : `${formatRange(low, high, 1)}\u00a0°C`;
  return levels.length === 1
    ? `One run, ${range} ${over}under load`
    : `${levels.length} runs, ${range} ${over}under load`;
}

function whichWords(shown: HeatListShown): string {
  const { chosen, overlaid, alike } = shown;
  const common = commonWords(shown);
  if (overlaid.length < 2)
    return chosen || alike.length > 0
      ? ""
      : "The newest run; no two builds have run at one setting under one load yet. ";
  if (common === null) return "";
  return chosen ? `Each ran ${common}. ` : `The newest run of each build that ran ${common}. `;
}

function leadOf(shown: HeatListShown): string {
  const { overlaid, as } = shown;
  const unroomed = overlaid.filter(({ run }) => run.ambientC === null).length;
  const room =
    as === "rise"
      ? unroomed === 0
        ? "The room is taken off, so days of different warmth lie on one scale."
        : `${formatCount(unroomed, "run")} without a known room ${unroomed === 1 ? "is" : "are"} not drawn as a rise.`
      : "The room is in these temperatures; ask for the rise to take it off.";
  return `${whichWords(shown)}Aligned where the load came on; what lies before is idle. ${room} Whether a difference is real is answered under Compare.`;
}

const Choice = ({ shown: { wanted, as } }: { shown: HeatListShown }) => {
  const runs = wanted.join(",");
  const other = as === "rise" ? "temperature" : "rise";
  return (
    <p>
      <a href={paths.heat({ runs, as: other })}>
        {other === "rise" ? "as rise over the room" : "as temperature"}
      </a>
    </p>
  );
};

const OverlayFigure = ({ chart, as }: { chart: LineChart; as: OverlayAs }) => {
  const plot = plotOfLines(chart);
  return (
    <ChartFigure
      name="overlay"
      kind="lines"
      caption={`${as === "rise" ? "Rise over the room" : "Temperature"}, from the moment the load came on. The band round each line holds every reading.`}
      narrow={<PlotSvg plot={plot} width={360} height={300} />}
      legend={<PlotKey plot={plot} />}
    >
      <PlotSvg plot={plot} />
    </ChartFigure>
  );
};

/** On a phone how far over the room, then from what, in which room and when it was level; the rest stands with the run. */
const overlaidColumns = (tellsSetting: boolean): readonly Column<OverlaidRun>[] => [
  {
    head: "Run",
    words: true,
    cell: ({ label, attempt, chip, loadName }) => (
      <>
        <a href={paths.heatRun(attempt.id)}>{label}</a>
        <br class="on-wide" />
        <span class={tellsSetting ? "quiet" : "quiet on-wide"}>
          {tellsSetting ? <span class="on-narrow">, </span> : null}
          <SettingInWords {...attempt} units={chip ?? undefined} />
          {loadName ? `, ${loadName}` : ""}
        </span>
      </>
    ),
  },
  { head: "Idle", unit: "°C", wide: true, cell: ({ idleC }) => formatNumber(idleC, 1) },
  {
    head: "Level",
    unit: "°C",
    strong: true,
    cell: ({ run }) =>
      run.level
        ? `${formatNumber(run.level.meanC, 1)} ± ${formatNumber((run.level.highC - run.level.lowC) / 2, 1)}`
        : cycleOrNone(run.cycle),
  },
  { head: "Room", unit: "°C", cell: ({ run }) => formatNumber(run.ambientC, 1) },
  { head: "Rise", unit: "°C", strong: true, cell: ({ run }) => formatNumber(run.rise?.mid, 1) },
  { head: "Power", unit: "W", wide: true, cell: ({ run }) => formatNumber(run.powerW, 0) },
  { head: "Resistance", unit: "°C/W", wide: true, cell: ({ run }) => formatNumber(run.resistance?.mid, 3) },
  { head: "Levelled", words: true, cell: ({ run }) => levelledWords(run) },
];

const cycleOrNone = (cycle: OverlaidRun["run"]["cycle"]): string =>
  cycle ? formatRange(cycle.lowC, cycle.highC) : formatNumber(null);

function levelledWords(run: OverlaidRun["run"]): string {
  const held = run.throttled.length > 0 ? ", held back" : "";
  if (run.cycle) return `swings${held}`;
  if (run.levelledAtS !== null) return `after ${formatDuration(run.levelledAtS)}${held}`;
  return `${run.final && run.level && run.final.c - run.level.meanC > 1 ? `no, tends to ${formatNumber(run.final.c, 0)}\u00a0°C` : "not certain"}${held}`;
}

const RunsEntry = ({ shown }: { shown: HeatListShown }) => {
  const { as } = shown;
  return (
    <Entry
      id="runs"
      aside={
        <>
          <p>newest first</p>
          <p>
            <a href={paths.sensors()}>this machine's sensors</a>
          </p>
        </>
      }
    >
      <h2>Heat runs</h2>
      <form method="get" action={paths.heat()}>
        <div class="runs">
          <Table caption="Heat runs" {...runsTable(shown)} />
        </div>
        <Fields>
          <ChoiceField
            name="as"
            label="Drawn as"
            value={as}
            choices={[
              { value: "rise", title: "rise over the room" },
              { value: "temperature", title: "temperature" },
            ]}
          />
        </Fields>
        <Act>
          <Button first>Lay them over one another</Button>
        </Act>
        <p class="quiet">At most {mostOverlaid} at once.</p>
      </form>
    </Entry>
  );
};

/** The next runs alone, for a swap. */
export const RunRows = ({ shown }: { shown: HeatListShown }) => <Rows {...runsTable(shown)} />;

function runsTable({ page, names, overlaid, as }: HeatListShown) {
  const drawn = new Set(overlaid.map(({ attempt }) => attempt.id));
  const after = page.next;
  const older = after === null ? null : paths.heat({ after, as, runs: [...drawn].join(",") });
  return {
    columns: runColumns(names, drawn, new Set(page.items.map(({ workloadId }) => workloadId)).size > 1),
    rows: page.items,
    more: older === null ? null : { href: `${older}#runs`, title: "Older runs" },
  };
}

const runColumns = (
  { builds, loads, units }: HeatListShown["names"],
  drawn: ReadonlySet<string>,
  tellsLoad: boolean,
): readonly Column<Attempt>[] => [
  {
    head: "Draw",
    cell: (attempt) => (
      <label class="tick">
        <input type="checkbox" name="runs" value={attempt.id} checked={drawn.has(attempt.id)} />
        <span class="unseen">{`Draw ${settingWords(attempt, units.get(attempt.buildId))} of ${attempt.startedAt.slice(0, 16)}`}</span>
      </label>
    ),
  },
  {
    head: "Run",
    words: true,
    cell: (attempt) => (
      <a href={paths.heatRun(attempt.id)}>
        <ListedMoment at={attempt.startedAt} />
      </a>
    ),
  },
  {
    head: "Build",
    words: true,
    cell: ({ buildId, workloadId }) => (
      <>
        {builds.get(buildId) ?? ""}
        {tellsLoad ? <span class="on-narrow quiet">, {loads.get(workloadId) ?? ""}</span> : null}
      </>
    ),
  },
  {
    head: "Setting",
    words: true,
    cell: (attempt) => <SettingInWords {...attempt} units={units.get(attempt.buildId)} />,
  },
  { head: "Load", words: true, wide: true, cell: ({ workloadId }) => loads.get(workloadId) ?? "" },
  { head: "Load temp.", unit: "°C", strong: true, cell: ({ loadTempC }) => formatNumber(loadTempC, 1) },
  { head: "Room", unit: "°C", wide: true, cell: ({ ambientC }) => formatNumber(ambientC, 1) },
];
