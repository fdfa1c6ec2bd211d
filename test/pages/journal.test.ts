import { readdirSync, writeFileSync } from "node:fs";
import path from "node:path";
import { describe, expect, it } from "vitest";
import { freshJournal, smallWorld, temporaryFolder, testServer } from "../support/bench.ts";
import { postForm } from "../support/forms.ts";
import { madeLog } from "../support/madeLog.ts";

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

  it("lists a deleted version of the firmware, and brings it back", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    const version = { of: "firmware", name: "F4", since: "2031-05-01T08:00:00Z" };
    const { status, body } = await server.send("POST", `/api/builds/${cupboard}/versions`, version);
    expect(status).toBe(201);
    await server.send("DELETE", `/api/versions/${body.id}`);
    const page = (await server.send("GET", "/journal")).body;
    expect(page).toContain("Bring it back: the version firmware F4");
    await postForm(server, `/versions/${body.id}/restoration`, {});
    expect((await server.send("GET", `/api/versions/${body.id}`)).status).toBe(200);
    expect((await server.send("GET", "/journal")).body).not.toContain("/restoration");
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
    expect(body).toContain("Bring it back: the load Idle");
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
    const undoing = /\/journal\/merges\/[0-9a-f-]+\/undoing/.exec(apart.body)?.[0] ?? "";
    const undone = await postForm(other, undoing, {});
    expect(undone.body).toContain("The merge is undone: 1 thing as before.");
    expect((await other.send("GET", `/api/chips/${chip}`)).body.note).toBe("there");
    expect((await postForm(other, undoing, {})).body).toContain("That merge is not here any more");
  });

  it("lists what was edited within the day, and takes the latest edit back with one tap", async () => {
    const server = await testServer();
    const { chip } = await smallWorld(server);
    expect((await server.send("GET", "/journal")).body).not.toContain("Edited, and can be undone");
    await server.send("PATCH", `/api/chips/${chip}`, { tempLimitC: 90, note: "lent" });
    const { body } = await server.send("GET", "/journal");
    expect(body).toMatch(/chip <b>Tern 8<\/b>, edited <time[^>]*>[^<]*<\/time>: temp limit and note/);
    const undone = await postForm(server, `/journal/edits/chips/${chip}/undoing`, {});
    expect(undone.body).toContain("Undone: Tern 8 is as it was before.");
    const read = (await server.send("GET", `/api/chips/${chip}`)).body;
    expect([read.tempLimitC, read.note]).toEqual([95, ""]);
    for (const nowhere of [`chips/${chip}x`, `secrets/${chip}`, "__proto__/constructor"])
      expect((await postForm(server, `/journal/edits/${nowhere}/undoing`, {})).status).toBe(404);
    server.clock.pass(86_401);
    expect((await server.send("GET", "/journal")).body).not.toContain("Edited, and can be undone");
  });

  it("takes back at once what was corrected at once, a trace that was replaced and own words", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const pass = { workloadId: heavy, voltageMv: 1200, outcome: "pass", durationS: 900 };
    const ids: string[] = [];
    for (const clockMhz of [4600, 4625, 4650])
      ids.push(
        (await server.send("POST", `/api/builds/${cupboard}/attempts`, { ...pass, clockMhz })).body.id,
      );
    await server.send("POST", "/api/attempts/corrections", { ids, field: "ambientC", value: 24 });
    const page = async () => (await server.send("GET", "/journal")).body as string;
    expect(await page()).toMatch(/attempts <b>3 at once<\/b>, edited <time[^>]*>[^<]*<\/time>: room /);
    const undone = await postForm(server, "/journal/corrections/undoing", { at: server.clock.now() });
    expect(undone.body).toContain("Undone: 3 attempts as before.");
    expect((await server.send("GET", `/api/attempts/${ids[0]}`)).body.ambientC).toBeNull();

    const csv = { "content-type": "text/csv" };
    for (const rows of [300, 200])
      await server.send("POST", `/api/attempts/${ids[0]}/trace`, madeLog(rows), csv);
    server.clock.pass(1);
    const words = { "words.summary": "Mine.", "seen.summary": "The journal's." };
    for (const use of ["Mine.", "Mine, again."])
      await postForm(server, "/write-up/words", {
        ...{ builds: cupboard, use: "daily" },
        ...{ ...words, "words.summary": use },
      });
    const body = await page();
    expect(body).toMatch(/Own words written <time[^>]*>[^<]*<\/time>: in the account of Cupboard/);
    expect(body).toMatch(/Trace replaced or deleted <time[^>]*>[^<]*<\/time>: 4600 MHz/);
    const addresses = [...body.matchAll(/\/journal\/merges\/[0-9a-f-]+\/undoing/g)].map(([one]) => one);
    const said = [];
    for (const address of addresses) said.push((await postForm(server, address, {})).body);
    expect(said[0]).toContain("The words are as they were before.");
    expect(said[1]).toContain("The trace is as it was before.");
    expect(server.journal.writeUpWords.of(cupboard).summary?.words).toBe("Mine.");
    expect(server.journal.traces.outline(ids[0]!)?.rows).toBe(300);
  });

  it("blanks the own words of accounts that tell of a blanked build", async () => {
    const server = await testServer();
    const { cupboard, frame } = await smallWorld(server);
    for (const builds of [cupboard, frame])
      for (const words of ["Private.", "Private still."])
        await postForm(server, "/write-up/words", {
          ...{ builds, use: "daily", "words.summary": words, "seen.summary": "" },
        });
    await server.send("DELETE", `/api/builds/${cupboard}`);
    server.clock.pass(86_401);
    await postForm(server, "/journal/blanking", {});
    const { body } = await server.send("GET", "/api/export");
    const kept = body.writeUpWords.map(({ builds, words }: { builds: string; words: string }) => [
      builds,
      words,
    ]);
    expect(kept.sort()).toEqual(
      [
        [cupboard, ""],
        [frame, "Private still."],
      ].sort(),
    );
    const steps = server.journal.db.$client.prepare("SELECT thing_id FROM merge_steps").pluck().all();
    expect(steps).toEqual([`${frame} summary`]);
  });

  it("offers to blank for good what was deleted more than a day ago, and says what that means", async () => {
    const server = await testServer();
    const { idle, light } = await smallWorld(server);
    await server.send("DELETE", `/api/workloads/${idle}`);
    server.clock.pass(86_401);
    await server.send("DELETE", `/api/workloads/${light}`);
    const { body } = await server.send("GET", "/journal");
    expect(body).toContain("1 deleted thing: kept, so that the deletion reaches other journals");
    expect(body).toContain("That cannot be undone.");
    expect(body.replaceAll(/\s+/g, " ")).toContain(
      "Figures stay, and what they are told by: the names of offsets, knobs, places and parts, how knobs stood, and what a score is counted in.",
    );
    const after = (await postForm(server, "/journal/blanking", {})).body;
    expect(after).toContain("1 deleted thing blanked for good. Backups made before still hold");
    expect(after).not.toContain("That cannot be undone.");
    const { body: document } = await server.send("GET", "/api/export");
    const names = document.deleted.map(({ thing }: { thing: { name: string } }) => thing.name);
    expect(names.sort()).toEqual(["Blanked", "Browsing"]);
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
