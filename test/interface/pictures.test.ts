import { describe, expect, it } from "vitest";
import { pictureLimitBytes } from "../../server/bench/pictures/picture.ts";
import { smallWorld, type TestServer, testServer } from "../support/bench.ts";
import { jpegNotes, madeJpeg, madePng, telltale } from "../support/madePictures.ts";

const noted = madeJpeg({ notes: jpegNotes(6) });

const sendRaw = (server: TestServer, url: string, bytes: Buffer, headers: object = {}) =>
  server.send("POST", url, bytes, { "content-type": "image/jpeg", ...headers });

function formOf(bytes: Buffer, caption: string) {
  const edge = "edge-of-the-form";
  const body = Buffer.concat([
    Buffer.from(
      `--${edge}\r\nContent-Disposition: form-data; name="image"; filename="IMG_48.2N.svg"\r\nContent-Type: image/svg+xml\r\n\r\n`,
    ),
    bytes,
    Buffer.from(
      `\r\n--${edge}\r\nContent-Disposition: form-data; name="caption"\r\n\r\n${caption}\r\n--${edge}--\r\n`,
    ),
  ]);
  return { body, headers: { "content-type": `multipart/form-data; boundary=${edge}` } };
}

async function world() {
  const server = await testServer();
  return { server, ...(await smallWorld(server)) };
}

describe("POST /api/builds/:id/pictures", () => {
  it("keeps a picture sent as it is, without its notes, and gives it back as what it is", async () => {
    const { server, cupboard } = await world();
    const { status, body } = await sendRaw(
      server,
      `/api/builds/${cupboard}/pictures?caption=The%20mount`,
      noted,
    );
    expect(status).toBe(201);
    expect(body).toMatchObject({
      buildId: cupboard,
      mountId: null,
      attemptId: null,
      caption: "The mount",
      type: "image/jpeg",
      widthPx: 30,
      heightPx: 40,
    });
    const image = await server.app.inject({ url: `/api/pictures/${body.id}/image` });
    expect(image.statusCode).toBe(200);
    expect(image.headers["content-type"]).toBe("image/jpeg");
    expect(image.headers["x-content-type-options"]).toBe("nosniff");
    expect(image.headers["content-security-policy"]).toBe("default-src 'none'; sandbox");
    expect(image.rawPayload.length).toBe(body.sizeBytes);
    expect(image.rawPayload.toString("latin1")).not.toContain(telltale);
    expect((await server.send("GET", `/api/builds/${cupboard}/pictures`)).body.items).toEqual([body]);
  });

  it("takes a form, believes the bytes and not the name, and forgets the name", async () => {
    const { server, cupboard } = await world();
    const { body, headers } = formOf(madePng(), "Where the meter stood");
    const sent = await server.send("POST", `/api/builds/${cupboard}/pictures`, body, headers);
    expect(sent.status).toBe(201);
    expect(sent.body).toMatchObject({ type: "image/png", caption: "Where the meter stood" });
    expect(JSON.stringify(sent.body)).not.toContain("IMG_");
  });

  it("answers a repeat with the same key and keeps it once", async () => {
    const { server, cupboard } = await world();
    const key = { "idempotency-key": "picture-1" };
    const first = await sendRaw(server, `/api/builds/${cupboard}/pictures`, noted, key);
    const again = await sendRaw(server, `/api/builds/${cupboard}/pictures`, noted, key);
    expect(again.body).toEqual(first.body);
    expect((await sendRaw(server, `/api/builds/${cupboard}/pictures`, madeJpeg(), key)).status).toBe(409);
    expect((await server.send("GET", `/api/builds/${cupboard}/pictures`)).body.items).toHaveLength(1);
  });

  it("refuses what is no picture, what is too large, and an unknown build, and keeps nothing", async () => {
    const { server, cupboard } = await world();
    const address = `/api/builds/${cupboard}/pictures`;
    const script = await sendRaw(server, address, Buffer.from("<svg onload='x'/>"));
    expect([script.status, script.body.error.code]).toEqual([400, "invalid"]);
    expect((await sendRaw(server, address, Buffer.alloc(0))).status).toBe(400);
    const large = Buffer.concat([noted, Buffer.alloc(pictureLimitBytes)]);
    const refused = await sendRaw(server, address, large);
    expect([refused.status, refused.body.error.code]).toEqual([413, "too-large"]);
    expect(refused.body.error.message).toMatch(/at most 12 MiB; this one has 12\.1/);
    const huge = await sendRaw(server, address, Buffer.alloc(pictureLimitBytes + (5 << 20)));
    expect([huge.status, huge.body.error.message]).toEqual([
      413,
      "A picture may have at most 12 MiB; this one has 17.0.",
    ]);
    const { body, headers } = formOf(large, "");
    expect((await server.send("POST", address, body, headers)).status).toBe(413);
    const nobody = "019479f0-0000-7000-8000-000000000000";
    expect((await sendRaw(server, `/api/builds/${nobody}/pictures`, noted)).status).toBe(404);
    expect((await server.send("GET", address)).body.items).toEqual([]);
  });
});

describe("pictures of mounts and attempts", () => {
  it("stand under what they are of and under its build", async () => {
    const { server, cupboard, heavy } = await world();
    const mount = (await server.send("GET", `/api/builds/${cupboard}/mounts`)).body.items[0].id;
    const run = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 };
    const attempt = (await server.send("POST", `/api/builds/${cupboard}/attempts`, run)).body.id;
    const ofMount = (await sendRaw(server, `/api/mounts/${mount}/pictures`, noted)).body;
    const ofAttempt = (await sendRaw(server, `/api/attempts/${attempt}/pictures`, noted)).body;
    expect(ofMount).toMatchObject({ buildId: cupboard, mountId: mount, attemptId: null });
    expect(ofAttempt).toMatchObject({ buildId: cupboard, mountId: null, attemptId: attempt });
    const items = async (url: string) => (await server.send("GET", url)).body.items;
    expect(await items(`/api/mounts/${mount}/pictures`)).toEqual([ofMount]);
    expect(await items(`/api/attempts/${attempt}/pictures`)).toEqual([ofAttempt]);
    expect(await items(`/api/builds/${cupboard}/pictures`)).toHaveLength(2);
  });
});

describe("/api/pictures/:id", () => {
  it("takes a caption, goes, and comes back within the day", async () => {
    const { server, cupboard } = await world();
    const { id } = (await sendRaw(server, `/api/builds/${cupboard}/pictures`, noted)).body;
    const address = `/api/pictures/${id}`;
    const edited = await server.send("PATCH", address, { caption: "  The firmware page " });
    expect(edited.body).toMatchObject({ caption: "The firmware page", version: 2 });
    expect((await server.send("PATCH", address, { caption: "x" }, { "if-match": '"1"' })).status).toBe(409);
    expect((await server.send("DELETE", address)).status).toBe(204);
    expect((await server.send("GET", address)).status).toBe(404);
    expect((await server.send("GET", `${address}/image`)).status).toBe(404);
    expect((await server.send("PUT", `${address}/restoration`)).body.caption).toBe("The firmware page");
    expect((await server.send("GET", `${address}/image`)).status).toBe(200);
  });
});

describe("the exported journal", () => {
  it("carries pictures and their bytes into an empty one, and the writer's own words", async () => {
    const { server, cupboard } = await world();
    const { body } = await sendRaw(server, `/api/builds/${cupboard}/pictures?caption=One`, noted);
    const own = {
      builds: cupboard,
      slot: "verdict",
      words: "Mine.",
      replaced: "Its.",
      updatedAt: body.createdAt,
    };
    server.journal.writeNow(() => server.journal.writeUpWords.keep(own));
    const document = (await server.send("GET", "/api/export")).body;
    expect(document.pictures).toHaveLength(1);
    const other = await testServer();
    expect((await other.send("POST", "/api/import", document)).status).toBe(200);
    expect((await other.send("GET", `/api/pictures/${body.id}`)).body).toEqual(body);
    expect(other.journal.pictures.imageOf(body.id)).toEqual(server.journal.pictures.imageOf(body.id));
    expect(other.journal.writeUpWords.all()).toMatchObject([own]);
    const again = await other.send("POST", "/api/import", document);
    expect(again.body).toMatchObject({ added: 0, updated: 0, conflicts: [] });
  });

  it("is cleaned on its way in, and refused where a picture is of nothing", async () => {
    const { server, cupboard } = await world();
    await sendRaw(server, `/api/builds/${cupboard}/pictures`, noted);
    const document = (await server.send("GET", "/api/export")).body;
    const [picture] = document.pictures;
    const smuggled = { ...document, pictures: [{ ...picture, image: noted.toString("base64") }] };
    const other = await testServer();
    expect((await other.send("POST", "/api/import", smuggled)).status).toBe(200);
    expect(other.journal.pictures.imageOf(picture.id)?.toString("latin1")).not.toContain(telltale);
    const stray = { ...picture, attemptId: "019479f0-0000-7000-8000-000000000000" };
    const refused = await other.send("POST", "/api/import", { ...document, pictures: [stray] });
    expect([refused.status, refused.body.error.message]).toEqual([
      400,
      expect.stringContaining("a picture is of a build"),
    ]);
  });
});
