import { describe, expect, it } from "vitest";
import { unparted } from "../../../server/pages/kit/unparted.ts";
import { smallWorld, testServer } from "../../support/bench.ts";

const said = (words: string): string => unparted(words).replaceAll("\u00a0", "~");

describe("unparted(words)", () => {
  it("holds a number to its unit and a name to its number, and leaves what may part", () => {
    expect(
      [
        "Run core 1 −80 mV, core 2 −110 mV",
        "Run core 12 0 mV",
        "−60 mV on core 1",
        "−60 on core 1",
        "6400 MT/s on automatic voltage",
        "8.5 °C cooler, at 40.5 dB(A) or 95 % of 231 W",
        "3 Wrens passed 96 in 100 at 4500 MHz, 2 V²",
      ].map(said),
    ).toEqual([
      "Run core~1 −80~mV, core~2 −110~mV",
      "Run core~12 0~mV",
      "−60~mV on core~1",
      "−60 on core~1",
      "6400~MT/s on automatic voltage",
      "8.5~°C cooler, at 40.5~dB(A) or 95~% of 231~W",
      "3 Wrens passed 96 in 100 at 4500~MHz, 2 V²",
    ]);
  });
});

describe("an attempt that was set by offset", () => {
  it("is headed, and stands in the columns of corrections and power, in pieces that never part", async () => {
    const { send, ...server } = await testServer();
    const { cupboard, heavy } = await smallWorld({ send, ...server });
    const { boardId } = (await send("GET", `/api/builds/${cupboard}`)).body;
    const chip = await send("POST", "/api/chips", {
      ...{ name: "Heron", kind: "cpu", tempLimitC: 95, axis: "offset" },
      offset: { name: "Undervolt", unit: "mV", step: 5, harder: "down" },
      parts: [{ name: "core 1" }, { name: "core 2" }],
    });
    const build = await send("POST", "/api/builds", { name: "Shelf", chipId: chip.body.id, boardId });
    const tried = async (set: object): Promise<string> =>
      (
        await send("POST", `/api/builds/${build.body.id}/attempts`, {
          ...{ workloadId: heavy, outcome: "pass", durationS: 900, powerW: 90, powerAt: "chip", ...set },
        })
      ).body.id;
    const [part, list] = [
      await tried({ part: "core 1", offset: -60 }),
      await tried({ offsets: { "core 1": -60, "core 2": -40 } }),
    ];
    const headed = async (id: string) =>
      /<h1>(.*?)<\/h1>/s.exec((await send("GET", `/attempts/${id}`)).body)?.[1]?.replaceAll("\u00a0", "~");
    expect([await headed(part), await headed(list)]).toEqual([
      "−60~mV on core~1",
      "core~1 −60~mV, core~2 −40~mV",
    ]);
    for (const page of ["corrections?field=ambientC", "power"]) {
      const { body } = await send("GET", `/builds/${build.body.id}/${page}`);
      expect(body, page).toMatch(/<td[^>]*>(<a[^>]*>)?−60\u00a0mV on core\u00a01</);
    }
  });
});
