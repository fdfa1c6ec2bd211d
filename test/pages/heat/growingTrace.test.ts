import { describe, expect, it } from "vitest";
import { traceFoundIn } from "../../../server/answers/heatOfAttempt.ts";
import type { TraceHeatQuestion } from "../../../server/answers/heatReckoned.ts";
import { freshJournal, type Sent, smallWorld, testServer } from "../../support/bench.ts";
import { madeSamples } from "../../support/madeLog.ts";

const headingIn = (html: string) => /<h1>(.*?)<\/h1>/.exec(html)?.[1]?.replaceAll("\u00a0", " ");
const chartsIn = (html: string) =>
  JSON.parse(/<script type="application\/json" data-charts="true">(.*?)<\/script>/.exec(html)?.[1] ?? "{}");

/** Once nothing that came in is being read any more. */
async function readIn(live: () => Promise<Sent>): Promise<string> {
  let page = "";
  await expect
    .poll(async () => {
      page = (await live()).body;
      return page;
    })
    .toContain('hx-trigger="every 5s"');
  return page;
}

/** A run that samples come in from, and a thread that reads its trace only when it is let. */
async function growingRun() {
  const journal = freshJournal();
  const waiting: (() => void)[] = [];
  let asked = 0;
  const server = await testServer(journal, {
    reckon: async (kind, request) => {
      if (kind !== "heat") throw new Error("Only heat is reckoned here.");
      asked += 1;
      const { attemptId, asked: course } = request as TraceHeatQuestion;
      await new Promise<void>((go) => waiting.push(go));
      const attempt = journal.attempts.find(attemptId);
      return attempt === undefined ? null : traceFoundIn(journal, attempt, course);
    },
  });
  const { cupboard, heavy } = await smallWorld(server);
  const { body } = await server.send("POST", `/api/builds/${cupboard}/attempts`, {
    ...{ workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "running" },
  });
  const grow = async (seconds: number) => {
    await server.send("POST", `/api/attempts/${body.id}/samples`, madeSamples(seconds), {
      "content-type": "text/csv",
    });
  };
  server.clock.pass(485);
  await grow(480);
  return {
    ...server,
    ...{ grow, asked: () => asked, id: body.id as string },
    live: () => server.send("GET", `/attempts/${body.id}/live`),
    letGo: () => {
      for (const go of waiting.splice(0)) go();
    },
  };
}

describe("The pages of a trace that grows", () => {
  const shown = async (page: () => Promise<Sent>, wanted: RegExp) => {
    await expect.poll(async () => headingIn((await page()).body)).toMatch(wanted);
    return headingIn((await page()).body);
  };

  it("tell at once how far it was read, and ask for the rest", async () => {
    const { send, grow, letGo, id } = await growingRun();
    const page = () => send("GET", `/heat/${id}`);
    expect(headingIn((await page()).body)).toBe("This long trace is being read");
    letGo();
    const first = await shown(page, /\d\d(\.\d)? ± /);
    await grow(700);
    const { body } = await page();
    expect(headingIn(body)).toBe(first);
    expect(body).toContain("Read as far as 8 min; what has come in since is being read");
    expect(body).toContain(`data-later="/heat/${id}/reading"`);
    expect((await send("GET", `/heat/${id}/reading`)).status).toBe(204);
    const list = (await send("GET", "/heat?as=temperature")).body;
    expect(chartsIn(list).overlay.lines.length).toBeGreaterThan(0);
    expect(list).toContain("A long trace is being read");
    letGo();
    await expect.poll(async () => (await send("GET", `/heat/${id}/reading`)).status).toBe(200);
    expect((await page()).body).not.toContain("is being read");
  });

  it("have it read anew once in ten seconds of it, however often they are looked at", async () => {
    const { send, grow, letGo, id, asked, live } = await growingRun();
    await send("GET", `/heat/${id}`);
    letGo();
    await shown(() => send("GET", `/heat/${id}`), /\d\d(\.\d)? ± /);
    const before = asked();
    for (let second = 481; second <= 500; second += 1) {
      await grow(second);
      for (const page of [`/heat/${id}`, "/heat", "/"]) await send("GET", page);
      await live();
      letGo();
    }
    expect(asked() - before).toBeGreaterThan(0);
    expect(asked() - before).toBeLessThanOrEqual(3);
  });

  it("show all of it once the run is over", async () => {
    const { send, grow, letGo, id } = await growingRun();
    await send("GET", `/heat/${id}`);
    letGo();
    await shown(() => send("GET", `/heat/${id}`), /\d\d(\.\d)? ± /);
    await grow(486);
    await send("PATCH", `/api/attempts/${id}`, { outcome: "pass", durationS: 486 });
    expect((await send("GET", `/heat/${id}`)).body).not.toContain("is being read");
  });
});

describe("GET /attempts/:id/live", () => {
  it("draws what has come in, and says where it tends and whether that crosses the limit", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const { body } = await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      ...{ workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "running", plannedS: 1800 },
    });
    const live = () => server.send("GET", `/attempts/${body.id}/live`);
    expect((await live()).body).toContain("No samples come in.");
    server.clock.pass(485);
    await server.send("POST", `/api/attempts/${body.id}/samples`, madeSamples(480), {
      "content-type": "text/csv",
    });
    const cool = await readIn(live);
    expect(cool).toMatch(/(79|80) ± [1-3] °C/);
    expect(cool).toContain("<svg");
    expect(cool).toContain("Dashed is where it would go from here, in its 95 % band.");
    expect(cool).toMatch(/<text[^>]*>would go<\/text>/);
    const end = /stroke-dasharray="2 4"/.exec(cool);
    expect(end).not.toBeNull();
    expect(cool).toContain('hx-trigger="every 5s"');
    expect(cool).not.toContain('class="note caution"');
    server.clock.pass(60);
    expect((await live()).body).toContain("nothing has come in since");
    expect((await server.send("GET", `/?build=${cupboard}`)).body).toContain('id="live-heat"');
  });

  it("asks again in a second while what came in is being read, and reads nothing itself", async () => {
    const { send, live, letGo } = await growingRun();
    const before = (await live()).body;
    expect(before).toContain("<svg");
    expect(before).not.toContain("would go");
    expect(before).toContain('hx-trigger="every 1s"');
    expect((await send("GET", "/")).body).toContain('hx-trigger="every 1s"');
    letGo();
    expect(await readIn(live)).toContain("would go");
  });

  it("warns where the forecast crosses the chip's limit", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const { body } = await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      ...{ workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "running" },
    });
    server.clock.pass(420);
    await server.send("POST", `/api/attempts/${body.id}/samples`, madeSamples(420, 104), {
      "content-type": "text/csv",
    });
    const page = await readIn(() => server.send("GET", `/attempts/${body.id}/live`));
    expect(page).toMatch(/<div class="note caution" role="note">.*would cross the limit of 95 °C/);
  });
});
