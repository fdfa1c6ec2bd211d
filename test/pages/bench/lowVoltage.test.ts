import { describe, expect, it } from "vitest";
import { smallWorld, type TestServer, testServer } from "../../support/bench.ts";
import { postForm } from "../../support/forms.ts";

const plain = (html: string): string => html.replace(/<[^>]+>/g, "").replace(/\u00a0/g, " ");

/** A build whose 4600 MHz held at two voltages, and another build of the chip that nothing was asked of. */
async function undervolted() {
  const server = await testServer();
  const world = await smallWorld(server);
  for (const [build, voltageMv, outcome] of [
    [world.cupboard, 1250, "pass"],
    [world.cupboard, 1200, "pass"],
    [world.frame, 1200, "pass"],
  ])
    await server.send("POST", `/api/builds/${build}/attempts`, {
      workloadId: world.heavy,
      clockMhz: 4600,
      voltageMv,
      outcome,
      durationS: 1800,
      ambientC: 22,
      loadTempC: 65,
    });
  return { server, ...world };
}

/** The bench once the fit has answered. */
async function fittedBench({ send }: TestServer, query: string): Promise<string> {
  for (let i = 0; i < 100; i++) {
    const { body } = await send("GET", `/?${query}`);
    if (!body.includes("data-later")) return body;
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  throw new Error("the fit never answered");
}

const proposedClock = (body: string): string => /Next: (\d+) MHz/.exec(plain(body))?.[1] ?? "";
const hidden = (body: string, name: string): string | undefined =>
  new RegExp(`type="hidden" name="${name}" value="([^"]*)"`).exec(body)?.[1];

describe("the lowest voltage that holds a clock", () => {
  it("is asked for from the bench in one field, and said at the top with the way back", async () => {
    const { server, cupboard } = await undervolted();
    const usual = await fittedBench(server, `build=${cupboard}`);
    expect(usual).toContain('form="lowest-voltage"');
    const body = await fittedBench(server, `build=${cupboard}&aim=voltage&atMhz=4600`);
    expect(plain(body)).toContain("Looking for the lowest voltage that holds 4600 MHz.");
    expect(plain(body)).toContain("The highest clock instead");
    expect(proposedClock(body)).toBe("4600");
  });

  it("stays at its clock through arming, ending and undoing, whatever was typed on the way", async () => {
    const { server, cupboard, heavy } = await undervolted();
    const armed = await postForm(server, `/builds/${cupboard}/attempts`, {
      ...{ clockMhz: "4625", voltageMv: "1.15", plannedS: "5", workloadId: heavy, outcome: "running" },
      ...{ aim: "voltage", atMhz: "4600" },
    });
    const running = await server.send("GET", String(armed.headers.location));
    expect([hidden(running.body, "aim"), hidden(running.body, "atMhz")]).toEqual(["voltage", "4600"]);
    const [{ id }] = (await server.send("GET", `/api/builds/${cupboard}/attempts`)).body.items;
    server.clock.pass(60);
    const ended = await postForm(server, `/attempts/${id}/ending`, {
      ...{ outcome: "freeze", aim: "voltage", atMhz: "4600" },
    });
    const query = String(ended.headers.location).slice(2);
    expect(query).toContain("aim=voltage");
    expect(proposedClock(await fittedBench(server, query))).toBe("4600");
    const undone = await postForm(server, `/attempts/${id}/resumption`, { aim: "voltage", atMhz: "4600" });
    expect(String(undone.headers.location)).toContain("atMhz=4600");
  });

  it("asks for a load that switches on and off where none is written down, and is content with one", async () => {
    const { server, cupboard } = await undervolted();
    const asked = `build=${cupboard}&aim=voltage&atMhz=4600`;
    expect(plain(await fittedBench(server, asked))).toContain("no such load is written down");
    await server.send("POST", "/api/workloads", { name: "Pulses", kind: "transition" });
    expect(plain(await fittedBench(server, asked))).not.toContain("no such load is written down");
    expect(plain(await fittedBench(server, `build=${cupboard}`))).not.toContain("no such load");
  });
});

describe("a proposal", () => {
  it("is skipped by one button or key, and another one comes", async () => {
    const { server, cupboard } = await undervolted();
    const body = await fittedBench(server, `build=${cupboard}`);
    const [, skip = ""] = /<a class="button" href="\/\?([^"]*)" data-key="s"/.exec(body) ?? [];
    expect(skip).toContain("skip=");
    const heading = (page: string) => /<h1>.*?<\/h1>/s.exec(page)?.[0];
    const other = await fittedBench(server, skip.replaceAll("&amp;", "&"));
    expect(heading(other)).toContain("Next:");
    expect(heading(other)).not.toBe(heading(body));
  });
});

describe("what the chip showed on other builds", () => {
  it("is named in the sentence and can be left out, which then stays so", async () => {
    const { server, cupboard, heavy } = await undervolted();
    const pooled = await fittedBench(server, `build=${cupboard}`);
    expect(plain(pooled)).toContain("It starts from what this chip showed on Open frame. ");
    expect(pooled).toContain("Leave out what it showed there</a>");
    const alone = await fittedBench(server, `build=${cupboard}&pooled=no`);
    expect(plain(alone)).not.toContain("It starts from");
    expect(alone).toContain("Count it as a start</a>");
    expect(hidden(alone, "pooled")).toBe("no");
    const passed = await postForm(server, `/builds/${cupboard}/attempts`, {
      ...{ clockMhz: "4625", voltageMv: "1.2", plannedS: "5", workloadId: heavy, outcome: "pass" },
      ...{ pooled: "no" },
    });
    expect(String(passed.headers.location)).toContain("pooled=no");
  });

  it("is a field of the JSON answers too", async () => {
    const { server, cupboard } = await undervolted();
    const taughtBy = async (question: string) =>
      (await server.send("GET", `/api/builds/${cupboard}/${question}`)).body.taughtBy;
    expect(await taughtBy("next?voltageMv=1200")).toEqual(["Open frame"]);
    expect(await taughtBy("next?voltageMv=1200&pooled=no")).toEqual([]);
    await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      ...{ workloadId: (await server.send("GET", "/api/workloads")).body.items.at(-1).id },
      ...{ clockMhz: 4700, voltageMv: 1200, outcome: "freeze", durationS: 60 },
    });
    expect(await taughtBy("limit")).toEqual(["Open frame"]);
    expect(await taughtBy("limit?pooled=no")).toEqual([]);
  });
});
