import { describe, expect, it } from "vitest";
import { plainText } from "../support/answersSaid.ts";
import { smallWorld, testServer } from "../support/bench.ts";
import { madeSamples } from "../support/madeLog.ts";

/** The chip's limit is 95 °C; what its main sensor tells stands so much above the truth. */
const [trueLimitC, offsetC] = [95, 12];

/** The limits that the charts of a page draw, by what stands on the temperature's axis. */
const limitsDrawn = (html: string): readonly number[] =>
  [...html.matchAll(/<script type="application\/json" data-charts="true">(.*?)<\/script>/g)].flatMap(
    ([, charts = ""]) =>
      [...charts.matchAll(/\{[^{}]*"label":"limit"[^{}]*\}/g)].map(([rule]) => JSON.parse(rule).at as number),
  );

async function worldOf(controlOffsetC: number | null) {
  const server = await testServer();
  const { chip, cupboard, heavy } = await smallWorld(server);
  await server.send("PATCH", `/api/chips/${chip}`, { tempLimitC: trueLimitC, controlOffsetC });
  const attempt = async (fields: object) =>
    (
      await server.send("POST", `/api/builds/${cupboard}/attempts`, {
        ...{ workloadId: heavy, clockMhz: 4600, voltageMv: 1200, ambientC: 22 },
        ...fields,
      })
    ).body.id as string;
  return { server, cupboard, heavy, attempt };
}

describe.each([
  ["the truth", null, trueLimitC],
  ["a control value", offsetC, trueLimitC + offsetC],
])("the limit of a chip whose main sensor tells %s", (_, controlOffsetC, limitC) => {
  it("is what a run that goes on would cross, and stands in the chart of one that ended", async () => {
    const { server, attempt } = await worldOf(controlOffsetC);
    const id = await attempt({ outcome: "running" });
    server.clock.pass(425);
    const csv = { "content-type": "text/csv" };
    await server.send("POST", `/api/attempts/${id}/samples`, madeSamples(420, limitC + 9), csv);
    const live = async () => plainText((await server.send("GET", `/attempts/${id}/live`)).body);
    await expect.poll(live, { timeout: 20_000 }).toContain(`would cross the limit of ${limitC} °C`);
    await server.send("PATCH", `/api/attempts/${id}`, { outcome: "pass", durationS: 420 });
    expect(limitsDrawn((await server.send("GET", `/heat/${id}`)).body)).toEqual([limitC]);
  });

  it("stands in the chart of a run that goes on where that comes within 25 °C of it", async () => {
    const { server, attempt } = await worldOf(controlOffsetC);
    const id = await attempt({ outcome: "running" });
    const csv = { "content-type": "text/csv" };
    const drawn = async (celsius: number) => {
      server.clock.pass(10);
      const rows = [1, 2, 3].map((s) => `${s + (celsius - limitC + 26) * 10},${celsius}`);
      const samples = ["elapsedS,temperatureC", ...rows].join("\n");
      await server.send("POST", `/api/attempts/${id}/samples`, samples, csv);
      return />limit</.test((await server.send("GET", `/attempts/${id}/live`)).body);
    };
    expect([await drawn(limitC - 26), await drawn(limitC - 24)]).toEqual([false, true]);
  });

  it("stands in the strip of the bench, in its warning and in why a setting is not proposed", async () => {
    const { server, cupboard, heavy, attempt } = await worldOf(controlOffsetC);
    for (const clockMhz of [4500, 4550, 4600])
      await attempt({ clockMhz, outcome: "pass", durationS: 1800, loadTempC: limitC - 8 });
    const bench = plainText((await server.send("GET", `/?build=${cupboard}`)).body);
    expect(bench).toContain(`limit ${limitC}`);
    expect(bench).toContain(`too near the limit of ${limitC} °C`);
    const asked = `build=${cupboard}&clockMhz=4900&voltageMv=1.25&workloadId=${heavy}&plannedS=15`;
    const forecast = plainText((await server.send("GET", `/bench/forecast?${asked}`)).body);
    expect(forecast).toContain(`passes the limit of ${limitC} °C`);
  });
});
