import { describe, expect, it } from "vitest";
import { smallWorld, type TestServer, testServer } from "../../support/bench.ts";
import { postForm } from "../../support/forms.ts";

async function noisyWorld(server: TestServer) {
  const world = await smallWorld(server);
  const page = async (query = `?build=${world.cupboard}`) =>
    (await server.send("GET", `/noise${query}`)).body as string;
  const read = (build: string, fields: object) =>
    server.send("POST", `/api/builds/${build}/noise`, { distanceM: 0.5, levelsDba: [40], ...fields });
  const readings = async (build = world.cupboard) =>
    // biome-ignore lint/suspicious/noExplicitAny: an answer is read by the test that asked for it
    (await server.send("GET", `/api/builds/${build}/noise`)).body.items as any[];
  return { ...world, page, read, readings };
}

describe("GET /noise", () => {
  it("asks for a build where there is none", async () => {
    const server = await testServer();
    const { status, body } = await server.send("GET", "/noise");
    expect(status).toBe(200);
    expect(body).toContain('href="/builds/new"');
  });

  it("says how loud the build is with the background taken out, what it rests on, and what a reading at 1 m is worth", async () => {
    const server = await testServer();
    const { page, read, cupboard, heavy } = await noisyWorld(server);
    await read(cupboard, { levelsDba: [41, 41.2, 40.8], backgroundDba: 31, workloadId: heavy });
    const html = await page();
    expect(html.match(/<h1/g)).toHaveLength(1);
    // 41 dB over 31: ten apart, 0.46 dB taken out.
    expect(html).toMatch(/<h1>Cupboard is 40\.5 dB\(A\) at 0\.5 m/);
    expect(html).toContain("background taken out");
    expect(html).toContain("A room gives sound back");
    expect(html).not.toContain("can harm hearing");
  });

  it("says an upper bound plainly, in the answer and in the table", async () => {
    const server = await testServer();
    const { page, read, cupboard } = await noisyWorld(server);
    await read(cupboard, { levelsDba: [33], backgroundDba: 30 });
    const html = await page();
    expect(html).toMatch(/<h1>Cupboard is at most 31\.7 dB\(A\) at 0\.5 m/);
    expect(html).toContain("≤ 31.7");
    expect(html).toContain("too close to the background");
  });

  it("warns of hearing once, where a level warrants it", async () => {
    const server = await testServer();
    const { page, read, cupboard } = await noisyWorld(server);
    await read(cupboard, { levelsDba: [86], backgroundDba: 31 });
    await read(cupboard, { levelsDba: [88], backgroundDba: 31 });
    expect((await page()).match(/can harm hearing/g)).toHaveLength(1);
  });

  it("compares builds at one distance, and says so where the distances differ", async () => {
    const server = await testServer();
    const { page, read, cupboard, frame, heavy } = await noisyWorld(server);
    await read(cupboard, { levelsDba: [46], backgroundDba: 28, workloadId: heavy });
    await read(frame, { levelsDba: [40], backgroundDba: 28, workloadId: heavy });
    const html = await page();
    expect(html).toContain("Beside other builds");
    expect(html).toContain("clearly quieter");
    expect(html).not.toContain("Read at different distances");
    const server2 = await testServer();
    const other = await noisyWorld(server2);
    await other.read(other.cupboard, { levelsDba: [46], backgroundDba: 28 });
    await other.read(other.frame, { levelsDba: [40], backgroundDba: 28, distanceM: 1 });
    const apart = await other.page();
    expect(apart).toContain("Read at different distances");
    expect(apart).toContain("1, worked out");
    expect(apart).toContain("not enough runs");
  });

  it("answers what is not there with 404", async () => {
    const server = await testServer();
    expect((await server.send("GET", "/noise?build=nonsense")).status).toBe(404);
    expect((await server.send("GET", "/noise/0197f000-0000-7000-8000-00000000dead")).status).toBe(404);
  });
});

describe("keeping a reading", () => {
  it("takes levels as typed under the setting last run, and says at once what they come to", async () => {
    const server = await testServer();
    const { cupboard, heavy, page, readings } = await noisyWorld(server);
    await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      workloadId: heavy,
      clockMhz: 4600,
      voltageMv: 1200,
      outcome: "pass",
      durationS: 900,
    });
    const form = await page();
    const [, condition = ""] =
      /<option value="([^"]+)" selected>Stacking, 4600 MHz at 1\.200 V/.exec(form) ?? [];
    const kept = await postForm(server, "/noise", {
      build: cupboard,
      levelsDba: "38,2 38,5 38,1",
      backgroundDba: "30",
      distanceM: "50 cm",
      condition,
    });
    expect(kept.status).toBe(303);
    expect(await readings()).toMatchObject([
      {
        levelsDba: [38.2, 38.5, 38.1],
        backgroundDba: 30,
        distanceM: 0.5,
        workloadId: heavy,
        clockMhz: 4600,
        voltageMv: 1200,
      },
    ]);
    const after = (await server.send("GET", String(kept.headers.location))).body;
    expect(after).toMatch(/Kept: mean 38\.3 dB\(A\), the build alone 37\.6 dB\(A\)\./);
  });

  it("remembers the distance, and the background for a few hours", async () => {
    const server = await testServer();
    const { cupboard, page } = await noisyWorld(server);
    await postForm(server, "/noise", {
      build: cupboard,
      levelsDba: "38",
      backgroundDba: "29.4",
      distanceM: "0.7",
    });
    const soon = await page();
    expect(soon).toMatch(/name="distanceM"[^>]*value="0\.7"|value="0\.7"[^>]*name="distanceM"/);
    expect(soon).toMatch(/value="29\.4"/);
    server.clock.pass(5 * 3600);
    expect(await page()).not.toMatch(/value="29\.4"/);
  });

  it("a load named in the fold counts instead of the choice", async () => {
    const server = await testServer();
    const { cupboard, light, readings } = await noisyWorld(server);
    const fields = { build: cupboard, levelsDba: "38", distanceM: "1", condition: "", workloadId: light };
    await postForm(server, "/noise", { ...fields, clockMhz: "4.4 GHz", voltageMv: "1.15" });
    expect(await readings()).toMatchObject([{ workloadId: light, clockMhz: 4400, voltageMv: 1150 }]);
  });

  it("refuses what is no level beside the field, keeps what was typed and changes nothing", async () => {
    const server = await testServer();
    const { cupboard, readings } = await noisyWorld(server);
    for (const levelsDba of ["", "38 loud", "380"]) {
      const refused = await postForm(server, "/noise", {
        build: cupboard,
        levelsDba,
        distanceM: "0.5",
        note: "half",
      });
      expect(refused.status).toBe(422);
      expect(refused.body).toContain('id="field-levelsDba-error"');
      expect(refused.body).toContain("half");
    }
    expect(await readings()).toEqual([]);
  });
});

describe("changing a reading", () => {
  const one = async () => {
    const server = await testServer();
    const world = await noisyWorld(server);
    const { id } = (await world.read(world.cupboard, { levelsDba: [38, 39], backgroundDba: 30 })).body;
    return { server, ...world, id: id as string };
  };

  it("stands in its form as it was read, and keeps what is changed", async () => {
    const { server, id, readings } = await one();
    const form = (await server.send("GET", `/noise/${id}`)).body as string;
    expect(form).toContain('value="38 39"');
    await postForm(server, `/noise/${id}`, { levelsDba: "38 39 40", distanceM: "0.5", version: "1" });
    expect(await readings()).toMatchObject([{ levelsDba: [38, 39, 40], backgroundDba: null }]);
  });

  it("refuses to write over what was changed elsewhere since", async () => {
    const { server, id, readings } = await one();
    await server.send("PATCH", `/api/noise/${id}`, { note: "from the phone" });
    const refused = await postForm(server, `/noise/${id}`, {
      levelsDba: "50",
      distanceM: "0.5",
      version: "1",
    });
    expect(refused.status).toBe(422);
    expect(refused.body).toContain("changed elsewhere");
    expect(await readings()).toMatchObject([{ levelsDba: [38, 39], note: "from the phone" }]);
  });

  it("deletes with a way back", async () => {
    const { server, id, readings } = await one();
    const gone = await postForm(server, `/noise/${id}/deletion`, {});
    expect(await readings()).toEqual([]);
    const page = (await server.send("GET", String(gone.headers.location))).body;
    expect(page).toContain(`action="/noise/${id}/restoration"`);
    await postForm(server, `/noise/${id}/restoration`, {});
    expect(await readings()).toMatchObject([{ id, levelsDba: [38, 39] }]);
  });
});

describe("temperature against loudness", () => {
  it("stands at equal loudness where two builds were read at several fan speeds", async () => {
    const server = await testServer();
    const { page, read, cupboard, frame, heavy } = await noisyWorld(server);
    const setting = { workloadId: heavy, clockMhz: 4500, voltageMv: 1200 };
    const sweep = async (build: string, base: number) => {
      for (const [n, [fanRpm, level]] of (
        [
          [800, 34],
          [1200, 40],
          [1600, 46],
        ] as const
      ).entries()) {
        const startedAt = `2031-05-0${build === cupboard ? 1 : 2}T1${n}:00:00Z`;
        const run = { ...setting, outcome: "pass", durationS: 1200, startedAt, fanRpm, ambientC: 22 };
        await server.send("POST", `/api/builds/${build}/attempts`, { ...run, loadTempC: 22 + base - 5 * n });
        const takenAt = startedAt.replace(":00:00Z", ":18:00Z");
        await read(build, { ...setting, levelsDba: [level], backgroundDba: 18, takenAt });
      }
    };
    await sweep(cupboard, 60);
    expect(await page()).toContain("No other build was read at two fan speeds");
    await sweep(frame, 57);
    const html = await page();
    expect(html).toContain(
      "Equally loud, from 34 to 46 dB(A), Open frame runs 3.0 °C cooler on average; how far mounts scatter is not known, so it is not judged.",
    );
    expect(html.match(/Temperature over the room at equal loudness/g)).not.toBeNull();
  });

  it("says what to read where there is one fan speed only", async () => {
    const server = await testServer();
    const { page, read, cupboard } = await noisyWorld(server);
    await read(cupboard, {});
    expect(await page()).toContain("two fan speeds or more");
  });
});
