import { describe, expect, it } from "vitest";
import { type Sent, smallWorld, type TestServer, testServer } from "../support/bench.ts";
import { benchDay } from "../support/benchDay.ts";

/** Sends a form with a file as a browser does. */
function postUpload(
  { send }: TestServer,
  url: string,
  fields: Readonly<Record<string, string>>,
  file?: string,
): Promise<Sent> {
  const line = "----form-7d41";
  const parts = Object.entries(fields).map(
    ([name, value]) => `--${line}\r\nContent-Disposition: form-data; name="${name}"\r\n\r\n${value}\r\n`,
  );
  if (file !== undefined)
    parts.push(
      `--${line}\r\nContent-Disposition: form-data; name="file"; filename="day.csv"\r\nContent-Type: text/csv\r\n\r\n${file}\r\n`,
    );
  const body = Buffer.from(`${parts.join("")}--${line}--\r\n`);
  return send("POST", url, body, { "content-type": `multipart/form-data; boundary=${line}` });
}

const count = async ({ send }: TestServer, build: string): Promise<number> =>
  (await send("GET", `/api/builds/${build}/attempts?limit=500`)).body.items.length;

const seenIn = ({ body }: Sent): string => /name="seen" value="([^"]+)"/.exec(body)?.[1] ?? "";

describe("/journal/import", () => {
  it("leads to a build where there is none", async () => {
    const { send } = await testServer();
    const { body } = await send("GET", "/journal/import");
    expect(body).toContain("Write down a build first");
    expect(body).not.toContain('type="file"');
  });

  it.each([false, true])(
    "takes a bench day from a file, decimal comma %s: preview first, then all good lines",
    async (decimalComma) => {
      const server = await testServer();
      const { cupboard, heavy } = await smallWorld(server);
      const chip = (await server.send("GET", `/api/builds/${cupboard}`)).body.chipId;
      await server.send("PATCH", `/api/chips/${chip}`, { voltageCeilingMv: null });
      const day = benchDay({ decimalComma });
      const first = await postUpload(
        server,
        "/journal/import",
        { build: cupboard, text: "", here: "UTC" },
        day.csv,
      );
      expect(first.status).toBe(200);
      expect(first.body).toContain("“funny noise” ended how?");
      expect(first.body).toContain("“all cores” is which load?");
      expect(await count(server, cupboard)).toBe(0);

      const fields = { build: cupboard, text: day.csv, "workload all cores": heavy };
      const look = await postUpload(server, "/journal/import", { ...fields, act: "look" });
      expect(look.body).toContain(
        `${day.good.length} attempts can be imported, ${day.bad.length - 1} lines cannot, 1 line waits for a word`,
      );
      for (const { line } of day.bad) expect(look.body).toMatch(new RegExp(`data-head="Line"[^>]*>${line}<`));
      expect(await count(server, cupboard)).toBe(0);

      const done = await postUpload(server, "/journal/import", {
        ...fields,
        seen: seenIn(look),
        act: "import",
      });
      expect(done.status).toBe(303);
      expect((await server.send("GET", String(done.headers.location))).body).toContain(
        `${day.good.length} attempts imported`,
      );
      const { items } = (await server.send("GET", `/api/builds/${cupboard}/attempts?limit=500`)).body;
      const kept = [...items].reverse();
      expect(kept).toHaveLength(day.good.length);
      day.good.forEach((line, i) => {
        expect(kept[i]).toMatchObject({
          startedAt: line.startedAt,
          clockMhz: line.clockMhz,
          voltageMv: line.voltageMv,
          outcome: line.outcome,
          durationS: line.durationS,
          note: line.note,
          workloadId: heavy,
        });
        if (line.loadTempC === null) expect(kept[i].loadTempC).toBeNull();
        else expect(kept[i].loadTempC).toBeCloseTo(line.loadTempC, 9);
      });
    },
  );

  it("remembers the choices for a header, and adds nothing twice", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    const text = "clock MHz,voltage V,result,lasted,load\n4600,1.2,crash,15,cores\n";
    const settled = {
      build: cupboard,
      text,
      "column-3": "durationS min",
      "outcome crash": "freeze",
      "workload cores": "new:all-core",
    };
    const asked = await postUpload(server, "/journal/import", { build: cupboard, text });
    expect(asked.status).toBe(422);
    expect(asked.body).toContain("counts seconds, minutes or hours");
    const look = await postUpload(server, "/journal/import", settled);
    expect(look.body).toContain("With them come new loads: cores.");
    await postUpload(server, "/journal/import", { ...settled, seen: seenIn(look), act: "import" });
    expect(await count(server, cupboard)).toBe(1);
    const workloads = (await server.send("GET", "/api/workloads")).body.items;
    expect(workloads.find(({ name }: { name: string }) => name === "cores")).toMatchObject({
      kind: "all-core",
    });
    const longer = `${text}4625,1.2,crash,9,cores\n`;
    const again = await postUpload(server, "/journal/import", { build: cupboard, text: longer });
    expect(again.status).toBe(200);
    expect(again.body).toContain("1 attempt can be imported");
    expect(again.body).toContain("1 line is in the journal already");
    await postUpload(server, "/journal/import", {
      build: cupboard,
      text: longer,
      seen: seenIn(again),
      act: "import",
    });
    expect(await count(server, cupboard)).toBe(2);
  });

  it("writes nothing that was not seen: another choice is shown before it is taken", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const text = "clock MHz,voltage V,result,lasted min\n4600,1.2,crash,15\n";
    const fields = { build: cupboard, text, workloadId: heavy, "outcome crash": "freeze" };
    const look = await postUpload(server, "/journal/import", fields);
    const changed = { ...fields, "outcome crash": "restart", seen: seenIn(look), act: "import" };
    const shown = await postUpload(server, "/journal/import", changed);
    expect(shown.status).toBe(200);
    expect(await count(server, cupboard)).toBe(0);
    await postUpload(server, "/journal/import", { ...changed, seen: seenIn(shown) });
    expect((await server.send("GET", `/api/builds/${cupboard}/attempts`)).body.items).toMatchObject([
      { outcome: "restart" },
    ]);
  });

  it("takes voltages above the ceiling only where they are meant, and keeps that they were", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    const text = "clock MHz,voltage V,result,lasted min,load\n4600,1.4,ok,15,Stacking\n";
    const fields = { build: cupboard, text };
    const look = await postUpload(server, "/journal/import", fields);
    expect(look.body).toContain("above the ceiling of 1.35 V");
    const meant = { ...fields, aboveCeiling: "true" };
    const again = await postUpload(server, "/journal/import", meant);
    await postUpload(server, "/journal/import", { ...meant, seen: seenIn(again), act: "import" });
    expect((await server.send("GET", `/api/builds/${cupboard}/attempts`)).body.items).toMatchObject([
      { voltageMv: 1400, aboveCeiling: true },
    ]);
  });

  it("leaves out a clock that is not on the chip's grid, and does not call it waiting for a word", async () => {
    const server = await testServer();
    const { cupboard, chip } = await smallWorld(server);
    await server.send("PATCH", `/api/chips/${chip}`, { clockGrid: [4600, 4625] });
    const text =
      "clock MHz,voltage V,result,lasted min,load\n4600,1.2,ok,15,Stacking\n4610,1.2,ok,15,Stacking\n";
    const look = await postUpload(server, "/journal/import", { build: cupboard, text });
    expect(look.body).toMatch(/1 attempt can be imported, 1 line cannot(?!, )/);
    expect(look.body).toContain("There is no 4610 MHz on this chip's grid; near it: 4600 and 4625.");
    expect(look.body).not.toContain("for a word");
  });

  it("sends lines that name a build there", async () => {
    const server = await testServer();
    const { cupboard, frame } = await smallWorld(server);
    const text =
      "build,clock MHz,voltage V,result,lasted min,load\nOpen frame,4600,1.2,ok,15,Stacking\nAttic,4600,1.2,ok,15,Stacking\n";
    const look = await postUpload(server, "/journal/import", { build: cupboard, text });
    expect(look.body).toContain("the journal has none named “Attic”".replace(/[“”]/g, "&quot;"));
    await postUpload(server, "/journal/import", { build: cupboard, text, seen: seenIn(look), act: "import" });
    expect([await count(server, cupboard), await count(server, frame)]).toEqual([0, 1]);
  });

  it("refuses what is no table, beside the field, and keeps what was pasted", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    const cases: [Record<string, string>, string | undefined, RegExp][] = [
      [{ build: cupboard, text: "" }, undefined, /The file is empty/],
      [{ build: cupboard, text: "just words" }, undefined, /No header can be found[\s\S]*just words/],
      [{ build: "", text: "a,b\n1,2\n" }, undefined, /Choose the build/],
      [{ build: cupboard }, "PK\u0003\u0004 and so on", /Save it as CSV text/],
      [
        { build: cupboard, text: "clock MHz,voltage V,result\n1,1,1\n", zone: "Mars/North" },
        undefined,
        /Write a zone like/,
      ],
    ];
    for (const [fields, file, words] of cases) {
      const sent = await postUpload(server, "/journal/import", fields, file);
      expect(sent.status, String(words)).toBe(422);
      expect(sent.body).toMatch(words);
    }
  });

  it("refuses a file that is too large", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    const sent = await postUpload(server, "/journal/import", { build: cupboard }, "x".repeat((16 << 20) + 1));
    expect(sent.status).toBe(413);
  });
});
