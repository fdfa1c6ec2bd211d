import { describe, expect, it } from "vitest";
import { pictureLimitBytes } from "../../server/bench/pictures/picture.ts";
import { smallWorld, testServer } from "../support/bench.ts";
import { postForm } from "../support/forms.ts";
import { jpegNotes, madeJpeg, telltale } from "../support/madePictures.ts";

const edge = "edge-of-the-form";
const formOf = (bytes: Buffer, caption: string) =>
  Buffer.concat([
    Buffer.from(
      `--${edge}\r\nContent-Disposition: form-data; name="image"; filename="a.jpg"\r\nContent-Type: image/jpeg\r\n\r\n`,
    ),
    bytes,
    Buffer.from(
      `\r\n--${edge}\r\nContent-Disposition: form-data; name="caption"\r\n\r\n${caption}\r\n--${edge}--\r\n`,
    ),
  ]);

async function world() {
  const server = await testServer();
  const { cupboard, heavy } = await smallWorld(server);
  const address = `/builds/${cupboard}/pictures`;
  const attach = (bytes: Buffer, caption: string, to = address) =>
    server.send("POST", to, formOf(bytes, caption), {
      "content-type": `multipart/form-data; boundary=${edge}`,
    });
  return { server, cupboard, heavy, address, attach };
}

describe("/builds/:id/pictures", () => {
  it("attaches a picture, shows it on the build and on its own page, and keeps no place", async () => {
    const { server, cupboard, address, attach } = await world();
    expect((await server.send("GET", `/builds/${cupboard}`)).body).toContain("Attach a picture");
    const { status, headers } = await attach(madeJpeg({ notes: jpegNotes(6) }), "The mount, second time");
    expect(status).toBe(303);
    expect(String(headers.location)).toMatch(new RegExp(`^${address}#picture-`));
    const { body } = await server.send("GET", address);
    expect(body).toContain("1 picture of Cupboard");
    expect(body).toContain('alt="The mount, second time"');
    expect(body).toMatch(/width="30" height="40"/);
    const [picture] = server.journal.pictures.all();
    expect(server.journal.pictures.imageOf(picture?.id ?? "")?.toString("latin1")).not.toContain(telltale);
    expect((await server.send("GET", `/builds/${cupboard}`)).body).toContain(
      `/api/pictures/${picture?.id}/image`,
    );
  });

  it("refuses what is too large or no picture beside the field, says how much, and keeps the caption", async () => {
    const { server, address, attach } = await world();
    const wrong = await attach(Buffer.from("GIF89a"), "Kept caption");
    expect(wrong.status).toBe(422);
    expect(wrong.body).toContain("not a JPEG, PNG or WebP");
    expect(wrong.body).toContain("Kept caption");
    const large = await attach(Buffer.concat([madeJpeg(), Buffer.alloc(pictureLimitBytes)]), "");
    expect([large.status, large.body]).toEqual([
      422,
      expect.stringContaining("at most 12 MiB; this one has 12.1"),
    ]);
    const none = await attach(Buffer.alloc(0), "");
    expect([none.status, none.body]).toEqual([422, expect.stringContaining("Choose a picture.")]);
    expect((await server.send("GET", address)).body).toContain("No picture of Cupboard yet");
  });

  it("shows both where a caption was edited meanwhile, and keeps what is sent again", async () => {
    const { server, address, attach } = await world();
    await attach(madeJpeg(), "The mount");
    const { id = "", version } = server.journal.pictures.all()[0] ?? {};
    const form = { of: address.slice(1).replace("/pictures", ""), version: String(version) };
    await server.send("PATCH", `/api/pictures/${id}`, { caption: "The other's words" });
    const stale = await postForm(server, `/pictures/${id}`, { ...form, caption: "My words" });
    expect(stale.status).toBe(422);
    expect(stale.body).toContain("It now says “The other's words”.");
    expect(stale.body).toContain('value="My words"');
    const [, linked] = /<a href="#([^"]+)">It now says/.exec(stale.body) ?? [];
    const [own = ""] = /<form method="post" action="\/pictures\/[^"]+">.*?<\/form>/s.exec(stale.body) ?? [];
    expect(own).toContain(`id="${linked}"`);
    expect(server.journal.pictures.find(id)?.caption).toBe("The other's words");
    const [, again = ""] = /name="version" value="(\d+)"/.exec(stale.body) ?? [];
    expect(
      (await postForm(server, `/pictures/${id}`, { ...form, version: again, caption: "My words" })).status,
    ).toBe(303);
    expect(server.journal.pictures.find(id)?.caption).toBe("My words");
  });

  it("changes a caption, deletes with a way back, and brings it back", async () => {
    const { server, address, attach, cupboard } = await world();
    await attach(madeJpeg(), "First");
    const id = server.journal.pictures.all()[0]?.id ?? "";
    const of = `builds/${cupboard}`;
    expect((await postForm(server, `/pictures/${id}`, { caption: "Better", of })).status).toBe(303);
    expect(server.journal.pictures.find(id)?.caption).toBe("Better");
    const long = await postForm(server, `/pictures/${id}`, { caption: "x".repeat(501), of });
    expect(long.status).toBe(422);
    const gone = await postForm(server, `/pictures/${id}/deletion`, { of });
    expect(gone.headers.location).toBe(`${address}?gone=${id}`);
    const { body } = await server.send("GET", `${address}?gone=${id}`);
    expect(body).toContain("“Better” is deleted");
    expect((await postForm(server, `/pictures/${id}/restoration`, {})).status).toBe(303);
    expect((await server.send("GET", address)).body).toContain("Better");
  });

  it("shows those of an attempt and a mount on their own pages", async () => {
    const { server, attach, cupboard, heavy } = await world();
    const run = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 };
    const attempt = (await server.send("POST", `/api/builds/${cupboard}/attempts`, run)).body.id;
    const mount = (await server.send("GET", `/api/builds/${cupboard}/mounts`)).body.items[0].id;
    await attach(madeJpeg(), "The screen", `/attempts/${attempt}/pictures`);
    await attach(madeJpeg(), "The paste", `/mounts/${mount}/pictures`);
    expect((await server.send("GET", `/attempts/${attempt}`)).body).toContain('alt="The screen"');
    expect((await server.send("GET", `/attempts/${attempt}/pictures`)).body).toContain("4600 MHz at 1.200 V");
    expect((await server.send("GET", `/mounts/${mount}/pictures`)).body).toContain("The paste");
    expect((await server.send("GET", `/builds/${cupboard}/mounts`)).body).toContain(
      `/mounts/${mount}/pictures`,
    );
  });
});
