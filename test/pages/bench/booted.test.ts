import { describe, expect, it } from "vitest";
import { type TestServer, testServer, theInstant } from "../../support/bench.ts";
import { postForm } from "../../support/forms.ts";
import { cardWorld } from "../../support/settingWorlds.ts";

const bootedIn = (page: string): Record<string, string> => {
  const [, form = ""] = /<form[^>]* id="booted"[^>]*>(.*?)<\/form>/s.exec(page) ?? [];
  const hidden = form.matchAll(/<input type="hidden" name="([^"]*)" value="([^"]*)"/g);
  return Object.fromEntries([...hidden].map(([, name = "", value = ""]) => [name, value]));
};

const newest = async ({ send }: TestServer, build: string) =>
  (await send("GET", `/api/builds/${build}/attempts`)).body.items[0];

/** A machine of an evening that has come up anew and reads its clock, but no offset. */
const says = ({ send }: TestServer, buildId: string, state: "booted" | "here") =>
  send("PUT", "/api/attendants/bench-2", {
    ...{ buildId, bootId: "first", state, evening: true },
    ...{ canRead: ["clock: core"], cannotRead: ["voltage"], reads: { clockMhz: 2100 } },
  });

async function cardThatRan() {
  const server = await testServer();
  const { rig, load } = await cardWorld(server);
  const ran = { workloadId: load, offset: "60", plannedS: "20", outcome: "pass", ambientC: "23" };
  await postForm(server, `/builds/${rig}/attempts`, { ...ran, "knob-power-limit": "105" });
  return { server, rig, load };
}

describe("a machine of an evening that has booted", () => {
  it("asks of an offset chip as of any, and one tap arms what is proposed with all that is carried over", async () => {
    const { server, rig, load } = await cardThatRan();
    await says(server, rig, "booted");
    const page = (await server.send("GET", `/?build=${rig}`)).body as string;
    expect(page).toContain("It has booted. Set as proposed?");
    expect(page).toMatch(/<p class="setting">\+\d+ MHz<\/p>/);
    expect(page).toContain("The machine cannot read this back.");
    expect(page).not.toContain('id="try"');
    const asked = bootedIn(page);
    expect(asked).toMatchObject({ "knob-power-limit": "105", ambientC: "23", workloadId: load });
    await postForm(server, `/builds/${rig}/attempts`, { ...asked, outcome: "running" });
    expect(await newest(server, rig)).toMatchObject({
      ...{ outcome: "running", offset: Number(asked.offset), clockMhz: null, ambientC: 23 },
      ...{ knobs: { "power-limit": 105 }, startedAt: theInstant },
    });
    expect(Number(asked.offset)).toBeGreaterThan(60);
  });

  it("asks for the knob that is looked along, and shows the dials where it was set otherwise", async () => {
    const { server, rig } = await cardThatRan();
    await says(server, rig, "booted");
    const address = `/?build=${rig}&aim=knob&knob=memory-offset`;
    const page = (await server.send("GET", address)).body as string;
    expect(page).toMatch(/<p class="setting">Memory offset [^<]*, all else as it was last<\/p>/);
    expect(bootedIn(page)).toMatchObject({ offset: "60", aim: "knob", knob: "memory-offset" });
    const otherwise = (await server.send("GET", `${address}&otherwise=1`)).body as string;
    expect(otherwise).toContain('id="try"');
  });

  it("says between two runs that it is to be set and started, of an offset too", async () => {
    const { server, rig } = await cardThatRan();
    await says(server, rig, "here");
    const page = (await server.send("GET", `/?build=${rig}`)).body as string;
    expect(page).toContain("Set it in firmware and start bench-2");
  });
});
