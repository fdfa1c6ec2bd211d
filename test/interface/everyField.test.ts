import { describe, expect, it } from "vitest";
import {
  type AttemptFieldName,
  attemptFieldNames,
  fieldDescription,
} from "../../server/bench/things/attemptFields.ts";
import { type TestServer, testServer } from "../support/bench.ts";
import { everyChip, everyField, type Through } from "../support/everyField.ts";
import { formOn, postForm } from "../support/forms.ts";

/** A build whose attempts can have every field said, and one that has. */
async function world() {
  const server = await testServer();
  const made = async (url: string, body: object): Promise<string> => {
    const sent = await server.send("POST", url, body);
    expect([sent.status, sent.body.error]).toEqual([201, undefined]);
    return sent.body.id;
  };
  const chip = await made("/api/chips", { name: "Wren 6", kind: "cpu", tempLimitC: 95, ...everyChip });
  const board = await made("/api/boards", { name: "Vole" });
  const load = await made("/api/workloads", { name: "Long sums", kind: "all-core" });
  const otherLoad = await made("/api/workloads", { name: "Short sums", kind: "all-core" });
  const build = await made("/api/builds", { name: "Cupboard", chipId: chip, boardId: board });
  const fields: Readonly<Record<AttemptFieldName, Through>> = everyField(load, otherLoad) as never;
  const attempts = `/api/builds/${build}/attempts`;
  const recorded = () => made(attempts, valuesOf(fields, "first"));
  const read = async (id: string) => (await server.send("GET", `/api/attempts/${id}`)).body;
  const page = async (id: string) => (await server.send("GET", `/attempts/${id}`)).body as string;
  return { server, made, fields, build, attempts, recorded, read, page };
}

const valuesOf = (
  fields: Readonly<Record<AttemptFieldName, Through>>,
  which: keyof Through,
  names: readonly AttemptFieldName[] = attemptFieldNames,
) => Object.fromEntries(names.map((name) => [name, fields[name][which]]));

/** Those a person may type; the outcome is asked for by itself. */
const typedNames = attemptFieldNames.filter(
  (name) => fieldDescription[name].group !== undefined || name === "outcome",
);
const editedNames = attemptFieldNames.filter((name) => name !== "aboveCeiling" && name !== "toldBy");

/** What another field is sent with: a sum of errors without their places, a setting with its confirmation. */
const sentWith = (name: AttemptFieldName): object => {
  if (name === "correctedErrors") return { correctedErrorsAt: null };
  return name === "voltageMv" || name === "knobs" ? { aboveCeiling: true } : {};
};
const typedWith = (name: AttemptFieldName): Record<string, string> => ({
  aboveCeiling: name === "voltageMv" ? "1.1625" : "1.1515",
  ...(name === "correctedErrors" && { correctedErrorsAt: "" }),
});

/** What follows from another field. */
const following: Partial<Record<AttemptFieldName, object>> = {
  correctedErrors: { correctedErrorsAt: null },
  correctedErrorsAt: { correctedErrors: 13 },
  outcome: { toldBy: "tester" },
};

describe("every field of an attempt", () => {
  it("is taken from the form of the bench, and stands on the page of its attempt", async () => {
    const { server, fields, build, read, page } = await world();
    const typed = valuesOf(fields, "typed", typedNames) as Record<string, string>;
    const knobs = { "knob-power-limit": "105 %", "knob-load-line": "3" };
    const dials = { ...knobs, "knob-supply": "auto (1.05)", "knob-bus": "100", aboveCeiling: "1.1515" };
    for (const [named, left] of [
      ["offset", { offsets: "" }],
      ["offsets", { offset: "", part: "" }],
    ] as const) {
      const sent = await postForm(server, `/builds/${build}/attempts`, { ...typed, ...dials, ...left });
      expect([sent.status, named]).toEqual([303, named]);
      const id = new URL(String(sent.headers.location), "http://bench").searchParams.get("kept") as string;
      const kept = await read(id);
      const said = typedNames.filter((name) => !Object.hasOwn(left, name) && name !== "toldBy");
      expect(kept).toMatchObject({ ...valuesOf(fields, "first", said), aboveCeiling: true });
      const form = formOn(await page(id));
      expect(typedNames.filter((name) => name !== "outcome" && !Object.hasOwn(form, name))).toEqual([]);
    }
  });

  it("is refused with a word beside it and everything kept as it was typed", async () => {
    const { server, fields, recorded, read, page } = await world();
    const id = await recorded();
    const before = await read(id);
    const form = formOn(await page(id));
    const faults: unknown[] = [];
    for (const name of typedNames) {
      const { refused } = fields[name];
      if (refused === null || name === "outcome") continue;
      const [typed, because] = refused;
      const sent = await postForm(server, `/attempts/${id}`, { ...form, [name]: typed });
      const again = formOn(sent.body);
      const [, words = ""] = new RegExp(`id="field-${name}-error">([^<]*)<`).exec(sent.body) ?? [];
      if (sent.status !== 422 || !words.includes(because)) faults.push([name, sent.status, words]);
      const shown = fieldDescription[name].choices || name === "workloadId" ? {} : { [name]: typed };
      const { [name]: _typed, version: _version, once: _once, ...others } = again;
      for (const [other, value] of Object.entries({ ...others, ...shown }))
        if ((again[other] ?? "") !== (other === name ? value : (form[other] ?? "")))
          faults.push([name, other, again[other], form[other]]);
    }
    expect(faults).toEqual([]);
    expect(await read(id)).toEqual(before);
  });

  it("is edited in the form, told in the history, and undone", async () => {
    const { server, fields, recorded, read, page } = await world();
    const id = await recorded();
    const before = await read(id);
    const { version: _version, once: _once, ...form } = formOn(await page(id));
    const faults: unknown[] = [];
    for (const name of typedNames) {
      const { first, later, retyped } = fields[name];
      const sent = await postForm(server, `/attempts/${id}`, {
        ...{ ...form, ...typedWith(name), [name]: retyped },
      });
      if (sent.status !== 303) faults.push([name, sent.status]);
      const { version: _edited, updatedAt: _at, ...after } = await read(id);
      if (!same(after, { ...after, ...before, [name]: later, ...following[name], ...unmoved(after) }))
        faults.push([name, after[name]]);
      const { changes } = (await server.send("GET", `/api/attempts/${id}/history`)).body.items.at(-1);
      if (!same(changes[name], [first, later])) faults.push([name, changes]);
      const undone = await server.send("PUT", `/api/attempts/${id}/undoing`);
      if (!same(undone.body, { ...before, ...unmoved(undone.body) })) faults.push([name, undone.body]);
    }
    expect(faults).toEqual([]);
    const told = [...(await page(id)).matchAll(/<.time>: (.*?)<.li>/gs)].map(([, words]) => words);
    const titles = typedNames.map((name) => (name === "outcome" ? "how it ended" : titleOf(name)));
    const isTold = (title: string) => told.some((words = "") => words.includes(`${title}: `));
    expect(titles.filter((title) => !isTold(title))).toEqual([]);
  });

  it("goes in and out as JSON, is edited by itself, left blank by null, and undone", async () => {
    const { server, fields, recorded, read } = await world();
    const id = await recorded();
    expect(await read(id)).toMatchObject(valuesOf(fields, "first"));
    const faults: unknown[] = [];
    for (const name of editedNames) {
      const edit = { [name]: fields[name].later, ...sentWith(name) };
      const sent = await server.send("PATCH", `/api/attempts/${id}`, edit);
      if (sent.status !== 200 || !same(sent.body[name], fields[name].later)) faults.push([name, sent.body]);
      const undone = await server.send("PUT", `/api/attempts/${id}/undoing`);
      if (!same(undone.body[name], fields[name].first)) faults.push([name, undone.status, undone.body]);
    }
    const blanks = Object.fromEntries(blankNames.map((name) => [name, fieldDescription[name].blank]));
    expect((await server.send("PATCH", `/api/attempts/${id}`, nulls)).body).toMatchObject(blanks);
    await server.send("PUT", `/api/attempts/${id}/undoing`);
    expect(await read(id)).toMatchObject(valuesOf(fields, "first"));
    expect(faults).toEqual([]);
  });

  it("is headed with its unit in a file, and equal after the file was taken in again", async () => {
    const { server, fields, build, recorded } = await world();
    await recorded();
    const csv = (await server.send("GET", `/api/builds/${build}/attempts.csv`)).body as string;
    const heads = (csv.split("\r\n")[0] ?? "").split(",");
    for (const [name, head] of [
      ...[
        ["offset", "offset [mV]"],
        ["offsets", "offsets [mV]"],
        ["temps", "temps [°C]"],
      ],
      ...attemptFieldNames.flatMap((field) => {
        const unit = {
          clock: "Mhz",
          voltage: "Mv",
          temperature: "C",
          power: "W",
          current: "A",
          duration: "S",
          fanSpeed: "Rpm",
        };
        const end = (unit as Record<string, string>)[fieldDescription[field].kind];
        return end === undefined ? [] : [[field, field.endsWith(end) ? field : `${field} without ${end}`]];
      }),
    ])
      expect(heads, name).toContain(head);
    const there = await world();
    const names = { [fields.workloadId.first as string]: there.fields.workloadId.first };
    const sent = await there.server.app.inject({
      ...{ method: "POST", url: `/api/builds/${there.build}/attempts.csv`, payload: csv },
      headers: { "content-type": "text/csv" },
    });
    expect(sent.statusCode).toBe(201);
    const [back] = (await there.server.send("GET", there.attempts)).body.items;
    const first = valuesOf(fields, "first");
    expect(back).toMatchObject({ ...first, workloadId: names[first.workloadId as string] });
  });

  it("of a knob with choices is one word, whether it was sent as a number, in a file or as a chip's usual value", async () => {
    const { server, build, attempts, recorded, read } = await world();
    const id = await recorded();
    await server.send("PATCH", `/api/attempts/${id}`, { knobs: { "load-line": 5 }, aboveCeiling: true });
    expect((await read(id)).knobs).toEqual({ "load-line": "5" });
    const lines = ["workload,offset,knobs,outcome,duration s", 'Long sums,-10,"{""load-line"":3}",pass,900'];
    const sent = await server.app.inject({
      ...{ method: "POST", url: `/api/builds/${build}/attempts.csv`, payload: lines.join("\r\n") },
      headers: { "content-type": "text/csv" },
    });
    expect(sent.statusCode).toBe(201);
    const [, last] = (await server.send("GET", `${attempts}?limit=2`)).body.items.toSorted(
      (a: { offset: number }, b: { offset: number }) => a.offset - b.offset,
    );
    expect(last.knobs).toEqual({ "load-line": "3" });
    const [{ id: chip }] = (await server.send("GET", "/api/chips")).body.items;
    const knob = { ...everyChip.knobs[1], usual: 3 };
    const edited = await server.send("PATCH", `/api/chips/${chip}`, { knobs: [knob] });
    expect(edited.body.knobs[0].usual).toBe("3");
  });

  it("is exported and taken in by another journal as it is", async () => {
    const { server, fields, recorded, read } = await world();
    const id = await recorded();
    const other = await testServer();
    const document = (await server.send("GET", "/api/export")).body;
    expect(document.attempts[0]).toMatchObject(valuesOf(fields, "first"));
    expect((await other.send("POST", "/api/import", document)).status).toBe(200);
    expect((await other.send("GET", `/api/attempts/${id}`)).body).toEqual(await read(id));
  });

  it("stands as the later writer has it when two benches are merged, and the loser stays in the history", async () => {
    const { server: here, fields, recorded } = await world();
    const id = await recorded();
    const there = await testServer();
    await hear(there, here);
    here.clock.pass(60);
    there.clock.pass(120);
    const edit = async ({ send }: TestServer, body: object) =>
      expect((await send("PATCH", `/api/attempts/${id}`, body)).status).toBe(200);
    await edit(here, { ...nulls, outcome: "restart" });
    await edit(there, { ...valuesOf(fields, "later", editedNames), aboveCeiling: true });
    await hear(here, there);
    await hear(there, here);
    for (const { send } of [here, there]) {
      expect((await send("GET", `/api/attempts/${id}`)).body).toMatchObject(
        valuesOf(fields, "later", editedNames),
      );
      const told = (await send("GET", `/api/attempts/${id}/history`)).body.items;
      expect(told).toHaveLength(2);
      const [lost] = told.filter(({ changes }: { changes: { outcome: string[] } }) =>
        changes.outcome.includes("restart"),
      );
      for (const name of blankNames)
        expect(lost.changes[name], name).toEqual([fields[name].first, fieldDescription[name].blank]);
    }
  });
});

/** What moves with every edit. */
const unmoved = ({ version, updatedAt }: { version: number; updatedAt: string }) => ({ version, updatedAt });

const titleOf = (name: AttemptFieldName): string => fieldDescription[name].title.toLowerCase();

/** Those that may be left blank of an attempt that has ended, set by an offset for all. */
const blankNames = editedNames.filter(
  (name) => fieldDescription[name].blank !== undefined && name !== "durationS" && name !== "offset",
);
const nulls = Object.fromEntries(blankNames.map((name) => [name, null]));

const same = (one: unknown, other: unknown): boolean => {
  try {
    expect(one).toEqual(other);
    return true;
  } catch {
    return false;
  }
};

const hear = async (into: TestServer, from: TestServer): Promise<void> => {
  const document = (await from.send("GET", "/api/export")).body;
  expect((await into.send("POST", "/api/import", document)).status).toBe(200);
};
