import { describe, expect, it } from "vitest";
import type { Reckon } from "../../../server/answers/reckoned.ts";
import { type FitKind, type FitQuestions, fitAnswerOf } from "../../../server/bench/best/limitQuestions.ts";
import { freshJournal, smallWorld, testServer } from "../../support/bench.ts";

/** Two builds: on the first 4500 MHz held at 1.2 V, and a longer crash contests the pass at 4600. */
async function triedWorld(reckon?: Reckon) {
  const server = await testServer(freshJournal(), reckon && { reckon });
  await smallWorld(server);
  const [first, second] = (await server.send("GET", "/api/builds")).body.items;
  const workloadId = (await server.send("GET", "/api/workloads")).body.items.find(
    (one: { kind: string }) => one.kind === "all-core",
  ).id;
  const attempt = (build: string, clockMhz: number, outcome: string, durationS: number, more: object = {}) =>
    server.send("POST", `/api/builds/${build}/attempts`, {
      workloadId,
      clockMhz,
      voltageMv: 1200,
      outcome,
      durationS,
      ...more,
    });
  await attempt(first.id, 4500, "pass", 1200, { loadTempC: 70, ambientC: 22 });
  await attempt(first.id, 4600, "pass", 1200);
  await attempt(first.id, 4600, "freeze", 300);
  await attempt(second.id, 4400, "pass", 1200, { note: "<b>bold</b>" });
  return { ...server, first, second, workloadId };
}

const plain = (html: string): string => html.replace(/<[^>]+>/g, "").replace(/\u00a0/g, " ");

describe("GET /builds/:id", () => {
  it("answers first: what to run, and what speaks against more", async () => {
    const { send, first } = await triedWorld();
    const { setting } = (await send("GET", `/api/builds/${first.id}/best`)).body;
    const { status, body } = await send("GET", `/builds/${first.id}`);
    expect(status).toBe(200);
    expect(body.match(/<h1/g)).toHaveLength(1);
    expect(plain(/<h1>.*?<\/h1>/s.exec(body)?.[0] ?? "")).toBe(`Run ${setting.clockMhz} MHz at 1.200 V`);
    expect(setting.clockMhz).toBeLessThanOrEqual(4500);
    expect(plain(body)).toMatch(/Highest seen: 4600 MHz at 1\.200 V\. Another run there: froze/);
    expect(plain(body)).toContain("Run 4600 MHz at 1.200 V once more");
    expect(body).toContain(`href="/?build=${first.id}&amp;clockMhz=4600&amp;voltageMv=1200"`);
  });

  it("tells what is better and did not run as worth trying, never as the answer, and leads to the bench with it", async () => {
    const { send, second, workloadId } = await triedWorld();
    for (const [clockMhz, outcome, durationS] of [
      [4550, "pass", 580],
      [4550, "pass", 580],
      [4550, "pass", 580],
      [4600, "freeze", 300],
    ] as const)
      await send("POST", `/api/builds/${second.id}/attempts`, {
        ...{ workloadId, clockMhz, voltageMv: 1200, outcome, durationS, loadTempC: 65, ambientC: 22 },
      });
    const { setting, worthTrying } = (await send("GET", `/api/builds/${second.id}/best`)).body;
    expect(setting.clockMhz).toBe(4400);
    expect(worthTrying.clockMhz).toBeGreaterThan(4400);
    const { body } = await send("GET", `/builds/${second.id}`);
    const chance = Math.min(99, Math.round(100 * worthTrying.chanceOfPass));
    expect(plain(body)).toContain(
      `Worth trying: ${worthTrying.clockMhz} MHz at 1.200 V, which has not run; ten minutes there pass ${chance} in 100 times.`,
    );
    const address = /<a href="([^"]*)">Try it</.exec(body)?.[1]?.replaceAll("&amp;", "&") ?? "";
    const bench = (await send("GET", address)).body;
    expect(/id="field-clockMhz"[^>]*/.exec(bench)?.[0]).toContain(`value="${worthTrying.clockMhz}"`);
    expect(/id="field-plannedS"[^>]*/.exec(bench)?.[0]).toContain('value="10"');
  });

  it("leads from a held clock to the attempts behind it", async () => {
    const { send, first } = await triedWorld();
    const { body } = await send("GET", `/builds/${first.id}`);
    const address = `/builds/${first.id}/attempts?clockMhz=4500&amp;voltageMv=1200`;
    expect(body).toContain(address);
    const behind = await send("GET", address.replace("&amp;", "&"));
    expect(behind.body.match(/, attempt 4500 MHz/g)).toHaveLength(1);
    expect(behind.body).not.toContain(", attempt 4600 MHz");
  });

  it("names what the held clock leaves and what the answer has to spare as two things", async () => {
    const { send, first, second } = await triedWorld();
    const { setting } = (await send("GET", `/api/builds/${first.id}/best`)).body;
    const [point] = (await send("GET", `/api/builds/${first.id}/frontier`)).body.points;
    const page = plain((await send("GET", `/builds/${first.id}`)).body);
    // 70 °C in a room of 22 °C is 78 °C in the hottest one planned for, 17 under the limit of 95 °C; the answer is cooler.
    expect(setting.clockMhz).toBeLessThan(point.heldMhz);
    expect([setting.marginC, point.marginC].map(Math.round)).toEqual([18, 17]);
    expect(page).toContain("18 °C to spare in a 30 °C room");
    expect(page).toContain("Held leaves");
    expect(page).not.toMatch(/Margin/);
    // What nobody read has no unit.
    const unread = (await send("GET", `/builds/${second.id}`)).body as string;
    expect(unread).toContain('data-head="Held leaves"');
    expect(unread).not.toMatch(/data-head="Held leaves" data-unit/);
    // The room stands in the head; on a phone's row there is no room for it.
    const read = (await send("GET", `/builds/${first.id}`)).body as string;
    expect(read).toContain('<span class="unit">°C at 30 °C</span>');
    expect(read).toContain('data-head="Held leaves" data-unit="°C"');
  });

  it("carries its chart in one block and no script but by address", async () => {
    const { send, first } = await triedWorld();
    const { body } = await send("GET", `/builds/${first.id}`);
    expect(body.match(/<script type="application\/json"/g)).toHaveLength(1);
    expect(body).not.toMatch(/<script(?![^>]*(src=|application\/json))/);
    expect(body).not.toMatch(/\sstyle=/);
  });

  it("says what to do where nothing was tried, with no empty chart", async () => {
    const server = await testServer();
    await smallWorld(server);
    const [build] = (await server.send("GET", "/api/builds")).body.items;
    const { status, body } = await server.send("GET", `/builds/${build.id}`);
    expect(status).toBe(200);
    expect(body).toContain("Nothing was tried");
    expect(body).not.toContain("<figure");
    expect(body).toContain("To the bench with it");
  });

  it("answers 404 for a build or a rule that is not there", async () => {
    const { send, first } = await triedWorld();
    expect((await send("GET", "/builds/nonsense")).status).toBe(404);
    expect((await send("GET", `/builds/${first.id}?rule=nonsense`)).status).toBe(404);
  });
});

describe("GET /builds and /compare", () => {
  it("names the build that goes furthest, and lets no note become markup", async () => {
    const { send, first, second } = await triedWorld();
    const best = async (id: string) => (await send("GET", `/api/builds/${id}/best`)).body.setting;
    const [one, other] = [await best(first.id), await best(second.id)];
    const [furthest, at] = one.clockMhz >= other.clockMhz ? [first, one] : [second, other];
    const { body } = await send("GET", "/builds");
    expect(plain(body)).toContain(`Furthest: ${furthest.name}, ${at.clockMhz} MHz at 1.200 V`);
    const list = await send("GET", `/builds/${second.id}/attempts`);
    expect(list.body).toContain("&lt;b>bold&lt;/b>");
  });

  it("says that it goes furthest so far while others are still being worked out", async () => {
    let answersMore = true;
    const { send, first } = await triedWorld((kind, request) =>
      answersMore
        ? Promise.resolve(fitAnswerOf(kind as FitKind, request as FitQuestions[FitKind]))
        : new Promise(() => undefined),
    );
    await send("GET", `/api/builds/${first.id}/best`);
    answersMore = false;
    expect(plain((await send("GET", "/builds")).body)).toContain(`Furthest so far: ${first.name}, `);
  });

  it("gives rows alone to a swap", async () => {
    const { send, first } = await triedWorld();
    const { body } = await send("GET", `/builds/${first.id}/attempts`, undefined, { "hx-request": "true" });
    expect(body).toMatch(/^<tr/);
  });

  it("ranks builds by what to run on them, with what each holds in one picture", async () => {
    const { send, first, second } = await triedWorld();
    for (const { id } of [first, second]) await send("GET", `/api/builds/${id}/best`);
    const { body } = await send("GET", "/builds");
    const clocks = [
      ...body.matchAll(/<span data-answer="[^"]+"[^>]*>([\d.]*)<span[^>]*> MHz<\/span><\/span>/g),
    ].map(([, clock]) => Number(clock || -1));
    expect(clocks).toHaveLength(2);
    expect(clocks).toEqual(clocks.toSorted((a, b) => b - a));
    const picture = /<figure[^>]*id="chart-held".*?<\/figure>/s.exec(body)?.[0] ?? "";
    for (const { name } of [first, second]) expect(picture).toContain(`>${name}<`);
  });

  it("compares two builds at the same voltage, and refuses one with itself", async () => {
    const { send, first, second } = await triedWorld();
    const both = await send("GET", `/compare?a=${first.id}&b=${second.id}`);
    expect(both.status).toBe(200);
    expect(plain(both.body)).toContain("−100");
    const same = await send("GET", `/compare?a=${first.id}&b=${first.id}`);
    expect(same.status).toBe(400);
    expect(same.body).toContain("Choose another build than the first.");
    // Two builds leave nothing to choose.
    const opened = await send("GET", "/compare");
    expect([opened.status, opened.headers.location]).toEqual([303, `/compare?a=${first.id}&b=${second.id}`]);
  });
});
