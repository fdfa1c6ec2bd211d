import { expect, it } from "vitest";
import { madeLog } from "../support/madeLog.ts";
import { unchangedBench } from "./unchangedBench.ts";

/** What recorders write: the first as most do, the others each rough in a way of its own. */
const logs: Readonly<Record<string, (random: () => number) => string>> = {
  plain: () => madeLog(1230, 78),
  short: () => madeLog(400, 70),
  "held back, with gaps": (random) =>
    rowsOf("Time,Core [°C],Supply [°C],Clock [MHz],Power [W],Fan [rpm],Throttling", 1800, (s, c) =>
      s % 600 > 560
        ? null
        : [stamp(s), c, c - 18, c > 82 ? 4310 : 4400, 140 + random(), 1400, c > 82 ? "Yes" : "No"],
    ),
  "by the second, dots and words": (random) =>
    rowsOf("Elapsed;Package;Room;Load", 1500, (s, c) => [
      ...[s / 2, s % 97 === 0 ? "n/a" : c, 21 + s / 900, s < 60 ? 2 : 98 + random()],
    ]).replaceAll(",", ";"),
  "of a chip idling": (random) =>
    rowsOf("Time (s),CPU temp,Power", 900, (s) => [s, 34 + random(), 18 + random()]),
};

const stamp = (s: number): string => new Date(Date.UTC(2031, 3, 28, 9) + s * 1000).toISOString();

const heated = (s: number): number => 36 + (s < 60 ? 0 : 48 * (1 - Math.exp(-(s - 60) / 150)) + s / 1500);

const rowsOf = (
  header: string,
  count: number,
  row: (s: number, c: number) => readonly (string | number)[] | null,
): string =>
  [
    header,
    ...Array.from({ length: count }, (_, s) => row(s, Math.round(10 * heated(s)) / 10)).flatMap((cells) =>
      cells === null
        ? []
        : [cells.map((cell) => (typeof cell === "number" ? cell.toFixed(1) : cell)).join(",")],
    ),
    "",
  ].join("\n");

it("runs with a log of each kind are answered for as before", async () => {
  const bench = await unchangedBench(10);
  const { made, tried, random, send } = bench;
  const chipId = await made("/api/chips", {
    name: "Tern 8",
    kind: "cpu",
    tempLimitC: 92,
    stockClockMhz: 4000,
  });
  const boardId = await made("/api/boards", { name: "Quay S" });
  const workloadId = await made("/api/workloads", { name: "Stacking", kind: "all-core" });
  const build = await made("/api/builds", { name: "Shelf", chipId, boardId });
  const runs: string[] = [];
  for (const [name, log] of Object.entries(logs)) {
    const run = {
      workloadId,
      clockMhz: 4400,
      voltageMv: 1200,
      outcome: "pass",
      durationS: 1200,
      ambientC: 22.5,
    };
    const id = await tried(build, { ...run, note: name });
    runs.push(id);
    const text = log(() => random.uniform());
    const { status, body } = await send("POST", `/api/attempts/${id}/trace`, text, {
      "content-type": "text/csv",
    });
    expect(status, JSON.stringify(body)).toBe(201);
    await bench.ask(`/api/attempts/${id}/trace`, `/api/attempts/${id}/trace?points=40&from=100&to=700`);
    await bench.ask(
      ...["heat", "heat?fromS=300&toS=500", "measured", "forecast"].map((of) => `/api/attempts/${id}/${of}`),
    );
  }
  await bench.ask(...["limit", "best", "power", "frontier"].map((what) => `/api/builds/${build}/${what}`));
  await bench.ask(`/api/write-up?builds=${build}`);
  await bench.read(
    ...["/heat", `/builds/${build}`, `/builds/${build}/power`],
    ...runs.flatMap((id) => [`/heat/${id}`, `/attempts/${id}`]),
  );
  await expect(bench.told()).toMatchFileSnapshot("answers/logs.txt");
});
