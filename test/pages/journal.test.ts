import { readdirSync, writeFileSync } from "node:fs";
import path from "node:path";
import { describe, expect, it } from "vitest";
import { freshJournal, smallWorld, temporaryFolder, testServer } from "../support/bench.ts";
import { postForm } from "../support/forms.ts";

describe("/journal", () => {
  it("says what the journal holds and where it lies", async () => {
    const server = await testServer();
    expect((await server.send("GET", "/journal")).body).toContain("The journal holds no attempts yet");
    const { cupboard, heavy } = await smallWorld(server);
    await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      workloadId: heavy,
      clockMhz: 4600,
      voltageMv: 1200,
      outcome: "pass",
      durationS: 900,
    });
    const { body } = await server.send("GET", "/journal");
    expect(body).toContain("1 attempt on 2 builds");
    expect(body).toContain(server.journal.file);
    for (const address of ["/journal/backup", "/api/export", "/journal/import"])
      expect(body).toContain(`href="${address}"`);
  });

  it("lists what was deleted within the day, with the way back", async () => {
    const server = await testServer();
    const { idle, cupboard } = await smallWorld(server);
    await server.send("DELETE", `/api/workloads/${idle}`);
    server.clock.pass(3600);
    await server.send("DELETE", `/api/builds/${cupboard}`);
    const { body } = await server.send("GET", "/journal");
    expect(body.indexOf(`/builds/${cupboard}/restoration`)).toBeLessThan(
      body.indexOf(`/workloads/${idle}/restoration`),
    );
    expect(body).toContain("Bring back the workload Idle");
    await postForm(server, `/workloads/${idle}/restoration`, {});
    expect((await server.send("GET", "/journal")).body).not.toContain(`/workloads/${idle}/restoration`);
    server.clock.pass(86_401);
    expect((await server.send("GET", "/journal")).body).not.toContain("/restoration");
  });

  it("gives a backup that opens as the same journal, and leaves nothing behind", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    const reply = await server.app.inject({ method: "GET", url: "/journal/backup" });
    expect(reply.statusCode).toBe(200);
    expect(reply.headers["content-disposition"]).toBe('attachment; filename="journal-20310504-1342.db"');
    const file = path.join(temporaryFolder(), "backup.db");
    writeFileSync(file, reply.rawPayload);
    const backup = freshJournal(file);
    expect(backup.faults()).toEqual([]);
    expect(backup.builds.find(cupboard)?.name).toBe("Cupboard");
    const left = () =>
      readdirSync(path.dirname(server.journal.file)).filter((name) => name.includes("download"));
    await expect.poll(left).toEqual([]);
  });

  it("looks the file over", async () => {
    const { send } = await testServer();
    expect((await send("GET", "/journal/integrity")).body).toContain("it is whole");
  });

  it("merges an exported journal and says what came of it; what is none is refused", async () => {
    const server = await testServer();
    const { chip } = await smallWorld(server);
    const exported = (await server.send("GET", "/api/export")).body;
    const other = await testServer();
    const line = "----form-7d41";
    const upload = (content: string) =>
      other.send(
        "POST",
        "/journal/merge",
        Buffer.from(
          `--${line}\r\nContent-Disposition: form-data; name="file"; filename="j.json"\r\nContent-Type: application/json\r\n\r\n${content}\r\n--${line}--\r\n`,
        ),
        { "content-type": `multipart/form-data; boundary=${line}` },
      );
    const refused = await upload("not one");
    expect(refused.status).toBe(422);
    expect(refused.body).toContain("not an exported journal");
    expect((await upload("")).body).toContain("Choose the file");
    const merged = await upload(JSON.stringify(exported));
    expect(merged.status).toBe(200);
    expect(merged.body).toContain("10 added, 0 updated, 1 unchanged");
    expect((await other.send("GET", `/api/chips/${chip}`)).status).toBe(200);
    other.clock.pass(60);
    await other.send("PATCH", `/api/chips/${chip}`, { note: "there" });
    await server.send("PATCH", `/api/chips/${chip}`, { note: "here" });
    const apart = await upload(JSON.stringify((await server.send("GET", "/api/export")).body));
    expect(apart.body).toContain("Edited in both journals");
    expect(apart.body).toContain("chip Tern 8");
  });
});

describe("/cautions", () => {
  it("says the usual cautions once and defers to local rules and licensed practice", async () => {
    const { send } = await testServer();
    const { status, body } = await send("GET", "/cautions");
    expect(status).toBe(200);
    for (const words of [
      "warranty",
      "Back up what matters",
      "Never open a power supply",
      "qualified people",
      "85 dB(A)",
    ])
      expect(body.split(words), words).toHaveLength(2);
  });
});
