import { describe, expect, it } from "vitest";
import { smallWorld, testServer } from "../support/bench.ts";

describe("GET /builds/:id/note", () => {
  it("says everything that was set with the attempt nearest to a setting, on a page and as text", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      workloadId: heavy,
      clockMhz: 4600,
      voltageMv: 1200,
      outcome: "pass",
      durationS: 900,
      loadLine: "level 4 <of 8>",
      alsoSet: [{ name: "Ring ratio", value: 40, harder: "up" }],
    });
    const page = await server.send("GET", `/builds/${cupboard}/note?clockMhz=4575&voltageMv=1187.5`);
    expect(page.status).toBe(200);
    expect(page.body).toContain("level 4 &lt;of 8>");
    expect(page.body).toContain("the nearest on record");
    const text = await server.send("GET", `/builds/${cupboard}/note.txt?clockMhz=4600&voltageMv=1200`);
    expect(text.body).toBe(
      [
        "Tern 8 on Quay S: Cupboard",
        "",
        "Clock         4600 MHz",
        "Core voltage  1.200 V",
        "Load-line     level 4 <of 8>",
        "Ring ratio    40",
        "",
        "What else was set is taken from the attempt of 2031-05-04 at 4600 MHz and 1.200 V.",
        "",
      ].join("\n"),
    );
  });

  it("refuses a setting that cannot be meant", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    expect((await server.send("GET", `/builds/${cupboard}/note?clockMhz=4600`)).status).toBe(400);
    expect((await server.send("GET", `/builds/nobody/note?clockMhz=4600&voltageMv=1200`)).status).toBe(404);
  });
});
