import { describe, expect, it } from "vitest";
import { smallWorld, testServer } from "../support/bench.ts";

type Columns = Readonly<Record<string, (s: number) => number | string>>;

/** A log of a run whose load comes on after half a minute, with columns of one's own. */
const logWith = (columns: Columns, seconds = 930): string =>
  [
    ["Time [s]", "CPU temp [°C]", "Load [%]", ...Object.keys(columns)].join(","),
    ...Array.from({ length: seconds }, (_, s) =>
      [
        s,
        (s < 30 ? 35 : 80 - 45 * Math.exp(-(s - 30) / 120)).toFixed(1),
        s < 30 ? 1 : 100,
        ...Object.values(columns).map((at) => at(s)),
      ].join(","),
    ),
    "",
  ].join("\n");

async function world(more: object = {}) {
  const server = await testServer();
  const { cupboard, heavy } = await smallWorld(server);
  const sent = await server.send("POST", `/api/builds/${cupboard}/attempts`, {
    ...{ workloadId: heavy, clockMhz: 4800, voltageMv: 1200, outcome: "pass", durationS: 900 },
    ...more,
  });
  const id = sent.body.id as string;
  const read = (log: string) =>
    server.send("POST", `/api/attempts/${id}/trace`, log, { "content-type": "text/csv" });
  const attempt = async () => (await server.send("GET", `/api/attempts/${id}`)).body;
  const held = async () =>
    (await server.send("GET", `/api/builds/${cupboard}/frontier`)).body.points.map(
      (point: { heldMhz: number | null }) => point.heldMhz,
    );
  return { server, id, read, attempt, held, build: cupboard };
}
const under = (loaded: number, idle: number) => (s: number) => (s < 30 ? idle : loaded);

describe("a trace speaks for its attempt", () => {
  it("a pass set to 4800 MHz whose log shows 4600 throughout is not held at 4800", async () => {
    const { read, attempt, held } = await world();
    expect(await held()).toEqual([4800]);
    expect((await read(logWith({ "Clock [MHz]": under(4600, 800) }))).status).toBe(201);
    expect(await attempt()).toMatchObject({ clockMhz: 4800, effectiveClockMhz: 4600, throttled: true });
    expect(await held()).toEqual([4600]);
  });

  it("a clock within 1 % of the one set leaves the pass where it is", async () => {
    const { read, attempt, held } = await world();
    await read(logWith({ "Clock [MHz]": under(4798, 800) }));
    expect(await attempt()).toMatchObject({ effectiveClockMhz: 4798, throttled: false });
    expect(await held()).toEqual([4800]);
  });

  it("measured power, voltage and room take the place of typed ones that they contradict, with history and a way back", async () => {
    const { server, id, read, attempt } = await world({
      ambientC: 21,
      powerW: 90,
      loadVoltageMv: 1250,
      effectiveClockMhz: 4790,
    });
    await read(
      logWith({
        "Clock [MHz]": under(4600, 800),
        "Package power [W]": under(120, 20),
        "Core voltage [V]": under(1.18, 0.8),
        "Room [°C]": () => 24,
      }),
    );
    const measured = { ambientC: 24, powerW: 120, loadVoltageMv: 1180, effectiveClockMhz: 4600 };
    expect(await attempt()).toMatchObject(measured);
    const { body: history } = await server.send("GET", `/api/attempts/${id}/history`);
    expect(history.items.at(-1).changes).toMatchObject({
      ambientC: [21, 24],
      effectiveClockMhz: [4790, 4600],
    });
    const { body } = await server.send("GET", `/api/attempts/${id}/measured`);
    expect(body.beside).toContainEqual({ name: "powerW", typed: 90, measured: 120, used: "measured" });
    expect(body.beside).toContainEqual({ name: "clockMhz", typed: 4800, measured: 4600, used: "measured" });
    const page = (await server.send("GET", `/heat/${id}`)).body;
    expect(page).toContain("Set to 4800 MHz, and the log shows 4600 MHz under load");
    expect(page.replaceAll("\u00a0", " ")).toContain(
      "The room was typed as 21.0 °C, and the log shows 24.0 °C",
    );

    await server.send("PUT", `/api/attempts/${id}/measured`, { use: "typed" });
    expect(await attempt()).toMatchObject({
      ...{ ambientC: 21, powerW: 90, loadVoltageMv: 1250, effectiveClockMhz: 4790, throttled: null },
    });
    expect((await server.send("GET", `/api/attempts/${id}/measured`)).body.beside).toContainEqual({
      ...{ name: "powerW", typed: 90, measured: 120, used: "typed" },
    });
    await server.send("PUT", `/api/attempts/${id}/measured`, { use: "log" });
    expect(await attempt()).toMatchObject(measured);
  });

  it("power read at the wall stays beside the chip's", async () => {
    const { read, attempt } = await world({ powerW: 210, powerAt: "wall" });
    await read(logWith({ "Package power [W]": under(120, 20) }));
    expect(await attempt()).toMatchObject({ powerW: 210, powerAt: "wall" });
  });

  it("clocks that lie 2 % apart are asked about, and the one named counts", async () => {
    const { server, id, read, attempt, held } = await world();
    const cores = { "Core 0 clock [MHz]": under(4600, 800), "Core 1 clock [MHz]": under(2300, 800) };
    await read(logWith(cores));
    expect(await attempt()).toMatchObject({ effectiveClockMhz: null });
    const { body } = await server.send("GET", `/api/attempts/${id}/measured`);
    expect(body.clocksDisagree).toBe(true);
    expect(body.clocks.map(({ mhz }: { mhz: number }) => mhz)).toEqual([4600, 2300]);
    expect((await server.send("GET", `/heat/${id}`)).body).toContain("Which of them was under load?");
    const form = { "content-type": "application/x-www-form-urlencoded" };
    const said = await server.send(
      "POST",
      `/heat/${id}/measured`,
      `clock=${encodeURIComponent(body.clocks[0].channel)}`,
      form,
    );
    expect(said.status).toBe(303);
    expect(await attempt()).toMatchObject({ effectiveClockMhz: 4600 });
    expect(await held()).toEqual([4600]);
    const wrong = await server.send("PUT", `/api/attempts/${id}/measured`, { clock: "Core 9" });
    expect([wrong.status, wrong.body.error.fields.clock]).toEqual([
      400,
      "Choose one of the clocks of the trace.",
    ]);
  });

  it("the clock of another part says nothing of the setting", async () => {
    const { read, attempt } = await world();
    await read(logWith({ "Memory clock [MHz]": () => 3200, "Bus clock [MHz]": () => 100 }));
    expect(await attempt()).toMatchObject({ effectiveClockMhz: null, throttled: null });
  });

  it("a log without a temperature still tells the clock", async () => {
    const { read, held } = await world();
    const rows = Array.from({ length: 300 }, (_, s) => `${s},4600,100`);
    await read(["Time [s],Clock [MHz],Load [%]", ...rows, ""].join("\n"));
    expect(await held()).toEqual([4600]);
  });

  it("samples sent as it ran count once it ends", async () => {
    const { server, build } = await world();
    const { body: loads } = await server.send("GET", "/api/workloads");
    const armed = await server.send("POST", `/api/builds/${build}/attempts`, {
      ...{ workloadId: loads.items.find((one: { kind: string }) => one.kind !== "idle").id },
      ...{ clockMhz: 4900, voltageMv: 1250, outcome: "running" },
    });
    const rows = Array.from({ length: 600 }, (_, s) =>
      JSON.stringify({ elapsedS: s, temperatureC: 70, clockMhz: 4500 }),
    );
    await server.send("POST", `/api/attempts/${armed.body.id}/samples`, rows.join("\n"), {
      "content-type": "application/x-ndjson",
    });
    const ended = await server.send("PATCH", `/api/attempts/${armed.body.id}`, {
      outcome: "pass",
      durationS: 600,
    });
    expect(ended.body).toMatchObject({ effectiveClockMhz: 4500, throttled: true });
  });
});
