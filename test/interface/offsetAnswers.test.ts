import { describe, expect, it } from "vitest";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { smallWorld, testServer } from "../support/bench.ts";
import { curvePart } from "../support/curvePart.ts";
import { cardWorld } from "../support/settingWorlds.ts";

describe("a build whose chip is set by offset, part by part", () => {
  it("is proposed offsets until the list is proved together, and says so everywhere", async () => {
    const server = await testServer();
    const { small, heavy } = await smallWorld(server);
    const chip = await server.send("POST", "/api/chips", {
      ...{ name: "Dunlin", kind: "cpu", tempLimitC: 100, stockClockMhz: 4850, stockVoltageMv: 1250 },
      ...{ axis: "offset", offset: { name: "Undervolt", unit: "mV", step: 10, harder: "down" } },
      parts: [{ name: "core 1" }, { name: "core 2" }],
    });
    const build = await server.send("POST", "/api/builds", {
      name: "Shelf",
      chipId: chip.body.id,
      boardId: small,
    });
    const id = build.body.id as string;
    const parts = ["core 1", "core 2"].map((name, i) => ({
      name,
      truth: curvePart("undervolt", i, seededRandom(77 + i), 12),
    }));
    const random = seededRandom(5);
    const asked: string[] = [];
    for (let turn = 0; turn < 60; turn++) {
      const { body: next } = await server.send("GET", `/api/builds/${id}/next`);
      if (!("durationS" in next)) {
        expect(next).toMatchObject({ settled: { offset: null, provedTogether: true }, reckoning: false });
        expect(next.leaveRunning).toBeNull();
        break;
      }
      if (turn === 0)
        expect(next).toMatchObject({
          ...{ part: null, offset: 0, offsets: null, workloadId: heavy, purpose: "screen" },
          because: "Nothing was tried on this build yet, so begin with the chip as it comes.",
          expectedMinutes: next.durationS / 60,
        });
      expect([next.clockMhz, next.voltageMv]).toEqual([null, null]);
      asked.push(next.part ?? "all");
      const under = parts.filter(({ name }) => next.part === null || next.part === name);
      const ran = under.map(
        ({ name, truth }) =>
          truth.ran(next.offsets?.[name] ?? next.offset, next.durationS / 60, random).at.row,
      );
      const { outcome, durationS, ambientC, loadTempC } =
        ran.find((row) => row.outcome !== "pass") ?? ran[0]!;
      const startedAt = new Date(Date.UTC(2031, 4, 1) + turn * 5_400_000).toISOString();
      const kept = await server.send("POST", `/api/builds/${id}/attempts`, {
        ...{ workloadId: heavy, outcome, durationS, ambientC, loadTempC, startedAt },
        ...{ offsets: next.offsets, offset: next.offset, part: next.part },
      });
      expect(kept.status, JSON.stringify(kept.body)).toBe(201);
    }
    expect([asked.at(0), asked.at(-1)]).toEqual(["all", "all"]);
    const { body: best } = await server.send("GET", `/api/builds/${id}/best`);
    expect(best).toMatchObject({
      state: "done",
      setting: {
        clockMhz: null,
        voltageMv: null,
        provedTogether: true,
        offsets: { "core 1": expect.any(Number) },
      },
      byOffset: { parts: [{ part: "core 1" }, { part: "core 2" }] },
    });
    const { body: stricter } = await server.send("GET", `/api/builds/${id}/best?use=unattended`);
    expect(stricter).toMatchObject({ isAim: false, aim: { use: "unattended" } });
    expect(stricter.because.at(-1)).toBe(
      "This is not the aim of the build: the hardest offset for a benchmark.",
    );
    for (const { part, setting } of stricter.byOffset.parts) {
      expect(setting.hours).toBe(24);
      expect(setting.level).toBeGreaterThan(best.setting.offsets[part]);
    }
    expect(Object.keys(stricter).sort()).toEqual(Object.keys(best).sort());
    const words = `core 1 −${-best.setting.offsets["core 1"]} mV, core 2 −${-best.setting.offsets["core 2"]} mV`;
    const shown = async (url: string): Promise<string> => {
      const { status, body } = await server.send("GET", url);
      expect(status).toBe(200);
      return body.replaceAll("\u00a0", " ");
    };
    const page = await shown(`/builds/${id}`);
    expect(page).toContain(`Run ${words}`);
    expect(page).toContain("Part by part");
    expect(await shown(`/builds/${id}/note.txt`)).toMatch(
      new RegExp(`Undervolt, core 1 +−${-best.setting.offsets["core 1"]} mV`),
    );
    expect(await shown(`/?build=${id}`)).toContain(words);
    const alone = await server.send("GET", `/api/builds/${id}/next?part=core+1`);
    expect(alone.body).toMatchObject({ settled: { offset: best.setting.offsets["core 1"], offsets: null } });
    expect(await shown("/builds")).toContain(words);
    expect(await shown(`/write-up?builds=${id}`)).toContain(words);
    expect((await server.send("GET", `/compare?a=${id}`)).status).toBe(200);
  });
});

describe("a knob turned beside an offset", () => {
  it("leaves what was read of the heat before it known: what ran cool is not forecast hot", async () => {
    const server = await testServer();
    const { rig, load } = await cardWorld(server);
    const passed = (offset: number, loadTempC: number) => ({
      ...{ offset, loadTempC, outcome: "pass", durationS: 1200, settingReadBack: "confirmed" },
    });
    const tried = [
      ...[passed(0, 66), passed(90, 67), passed(135, 68)],
      { offset: 180, outcome: "artefacts", durationS: 360 },
      { offset: 150, outcome: "driver-reset", durationS: 660 },
      passed(120, 69),
      { ...passed(135, 69), knobs: { "memory-offset": 400 } },
    ];
    for (const [i, told] of tried.entries())
      await server.send("POST", `/api/builds/${rig}/attempts`, {
        ...{
          workloadId: load,
          startedAt: new Date(Date.UTC(2031, 4, 1, i)).toISOString(),
          ambientC: 22,
          ...told,
        },
      });
    const { body: next } = await server.send("GET", `/api/builds/${rig}/next`);
    expect(next.blocked).toHaveLength(1);
    expect(next.blocked[0]).toContain("Clock offset +150 MHz: driver reset");
  });

  it("answers from what ran with other knobs too, where the search is over", async () => {
    const server = await testServer();
    const { rig, load } = await cardWorld(server);
    const offsets = [0, 90, 135, 120, 135];
    for (const [i, offset] of offsets.entries())
      await server.send("POST", `/api/builds/${rig}/attempts`, {
        ...{ workloadId: load, offset, outcome: "pass", durationS: 1200, settingReadBack: "confirmed" },
        ...{ loadTempC: 66 + Math.min(i, 3), startedAt: new Date(Date.UTC(2031, 4, 1, i)).toISOString() },
        ...(i === 4 && { knobs: { "memory-offset": 400 } }),
      });
    const { body: next } = await server.send("GET", `/api/builds/${rig}/next`);
    const { body: best } = await server.send("GET", `/api/builds/${rig}/best`);
    expect(best.setting, next.because).toMatchObject({ knobs: { "memory-offset": 400 } });
    expect(next.settled?.offset ?? best.setting.offset).toBe(best.setting.offset);
  });
});
