import { describe, expect, it } from "vitest";
import { outputGivenWay } from "../../server/actions/gaveWay.ts";
import { stampOf } from "../../server/bench/document/stamp.ts";
import { abusedWorld, putBack, sensorLog } from "../abuse/abusedWorld.ts";
import { type TestServer, testServer } from "../support/bench.ts";
import { madePng } from "../support/madePictures.ts";
import { type FormField, formsIn, formsOf, type PageForm } from "../support/pageForms.ts";
import { routesOf } from "../support/routes.ts";
import { printOf } from "../support/wholePrint.ts";

/** What a tester would type where a page leaves a field blank. */
const typed: Readonly<Record<string, string>> = {
  ...{ name: "Wren", tempLimitC: "90", levelsDba: "40", distanceM: "1", change: "another fan" },
  ...{ chipName: "Tern", boardName: "Quay", buildName: "Cupboard", workloadName: "Stacking" },
  ...{
    reason: "a cable",
    words: "moss and granite",
    clockMhz: "4600",
    voltageMv: "1.2 V",
    durationS: "15 min",
    "duration-0": "1 h",
  },
};

type Sending = Readonly<{ url: string; body: Buffer | string; type: string }>;

/** A form as a browser without script would send it, by its first button. */
function sendingOf(
  { action, fields, isMultipart }: PageForm,
  files: Readonly<Record<string, Buffer>>,
): Sending {
  const pressed = fields.findIndex(({ name, kind }) => kind === "button" && name !== "act");
  const said = fields
    .filter(({ kind }, at) => !/^(checkbox|radio|file|button)$/.test(kind) || at === pressed)
    .map((field): [string, string] => [field.name, filledIn(field)]);
  const chosen = fields.filter(({ kind }) => kind === "file").map(({ name }) => name);
  if (!isMultipart)
    return {
      url: action,
      body: new URLSearchParams(said).toString(),
      type: "application/x-www-form-urlencoded",
    };
  const part = (name: string, content: Buffer | string, more = "") => [
    Buffer.from(`--edge\r\ncontent-disposition: form-data; name="${name}"${more}\r\n\r\n`),
    Buffer.from(content),
    Buffer.from("\r\n"),
  ];
  const parts = [
    ...said.flatMap(([name, value]) => part(name, value)),
    ...chosen.flatMap((name) => part(name, files[name] ?? "", '; filename="x"')),
    Buffer.from("--edge--\r\n"),
  ];
  return { url: action, body: Buffer.concat(parts), type: "multipart/form-data; boundary=edge" };
}

const filledIn = ({ name, value, choices }: FormField): string =>
  value ||
  typed[name] ||
  (/^(kind|chipId|boardId|of)$/.test(name) && choices.find(Boolean)) ||
  (choices.includes("") ? "" : (choices[0] ?? ""));

/** The form with something else said in some of its fields, or by another button. */
const withSaid = (form: PageForm, said: Readonly<Record<string, string>>): PageForm => ({
  ...form,
  fields: [
    ...form.fields.filter(({ name }) => !Object.hasOwn(said, name)),
    ...Object.entries(said).map(([name, value]) => ({ name, value, kind: "text", choices: [] })),
  ],
});

const plainly = (url: string, fields: Readonly<Record<string, string>> = {}): Sending => ({
  ...{ url, body: new URLSearchParams(fields).toString() },
  type: "application/x-www-form-urlencoded",
});

/** What is sent to addresses whose form stands on no page in the state the bench is in, or takes more than its first state. */
function behindOthers(server: TestServer): Readonly<Record<string, () => Promise<Sending>>> {
  const { send } = server;
  const made = async (url: string, body: object) => (await send("POST", url, body)).body.id as string;
  const deleted = async (kind: string, id: string) => {
    await send("DELETE", `/api/${kind}/${id}`);
    return plainly(`/${kind}/${id}/restoration`);
  };
  const newest = async (url: string) => (await send("GET", url)).body.items[0];
  const build = async () => (await newest("/api/builds")).id as string;
  const attempt = async () => {
    const body = { workloadId: (await newest("/api/workloads")).id, clockMhz: 4000, voltageMv: 1200 };
    return made(`/api/builds/${await build()}/attempts`, { ...body, outcome: "pass", durationS: 900 });
  };
  const parts = {
    chips: { name: "Spare", kind: "cpu", tempLimitC: 90 },
    boards: { name: "Spare" },
    workloads: { name: "Spare", kind: "mixed" },
    rules: { name: "Spare", requires: [{ anyWorkload: true, durationS: 60 }] },
  };
  const ofParts = Object.entries(parts).flatMap(([kind, body]) => [
    [
      `POST /${kind}/:id/deletion`,
      async () => plainly(`/${kind}/${await made(`/api/${kind}`, body)}/deletion`),
    ],
    [`POST /${kind}/:id/restoration`, async () => deleted(kind, await made(`/api/${kind}`, body))],
  ]) as [string, () => Promise<Sending>][];
  const anotherBuild = async () => {
    const { chipId, boardId } = await newest("/api/builds");
    return made("/api/builds", { name: "Spare", chipId, boardId });
  };
  const log = async () => {
    const id = await attempt();
    const [form] = formsIn((await send("GET", `/heat/${id}`)).body, "").filter(
      ({ isMultipart }) => isMultipart,
    );
    const { url, body, type } = sendingOf(form as PageForm, { file: Buffer.from(sensorLog(30)) });
    return String((await send("POST", url, body, { "content-type": type })).headers.location);
  };
  /** The first step of a form as said, and the form that it leads to. */
  const afterLooking = async (url: string, said: Readonly<Record<string, string>>) => {
    const look = plainly(url, { ...said, act: "look" });
    const { body } = await send("POST", look.url, look.body, { "content-type": look.type });
    return formsIn(body, url);
  };
  const correcting = async () => {
    const [id, of] = [await attempt(), await build()];
    const said = { field: "ambientC", ambientC: "17.5", [`pick-${id}`]: "yes" };
    const forms = await afterLooking(`/builds/${of}/corrections`, said);
    const apply = forms.find(({ fields }) => fields.some(({ value }) => value === "apply"));
    return sendingOf(withSaid(apply as PageForm, { act: "apply" }), {});
  };
  return {
    ...Object.fromEntries(ofParts),
    "POST /builds/:id/deletion": async () => plainly(`/builds/${await anotherBuild()}/deletion`),
    "POST /builds/:id/restoration": async () => deleted("builds", await anotherBuild()),
    "POST /mounts/:id/restoration": async () =>
      deleted(
        "mounts",
        await made(`/api/builds/${await build()}/mounts`, { mountedAt: "2031-05-03T08:00:00Z" }),
      ),
    "POST /noise/:id": async () => {
      const page = `/noise/${(await newest(`/api/builds/${await build()}/noise`)).id}`;
      const forms = formsIn((await send("GET", page)).body, page);
      return sendingOf(forms.find(({ action }) => action === page) as PageForm, {});
    },
    "POST /mounts/:id/deletion": async () => {
      const mounted = { mountedAt: server.clock.now(), note: "once more" };
      return plainly(`/mounts/${await made(`/api/builds/${await build()}/mounts`, mounted)}/deletion`);
    },
    "POST /noise/:id/deletion": async () =>
      plainly(`/noise/${(await newest(`/api/builds/${await build()}/noise`)).id}/deletion`),
    "POST /versions/:id/deletion": async () =>
      plainly(
        `/versions/${await made(`/api/builds/${await build()}/versions`, { of: "firmware", name: "1.08" })}/deletion`,
      ),
    "POST /versions/:id/restoration": async () =>
      deleted(
        "versions",
        await made(`/api/builds/${await build()}/versions`, { of: "firmware", name: "1.08" }),
      ),
    "POST /noise/:id/restoration": async () =>
      deleted("noise", await made(`/api/builds/${await build()}/noise`, { distanceM: 1, levelsDba: [40] })),
    "POST /pictures/:id/restoration": async () => {
      const sent = await send("POST", `/api/builds/${await build()}/pictures`, madePng(), {
        "content-type": "image/png",
      });
      return deleted("pictures", sent.body.id);
    },
    "POST /attempts/:id/restoration": async () => deleted("attempts", await attempt()),
    "POST /attempts/:id/resumption": async () => {
      const { items } = (await send("GET", "/api/builds")).body;
      const lists = items.map(({ id }: { id: string }) =>
        send("GET", `/api/builds/${id}/attempts?outcome=running`),
      );
      const running = (await Promise.all(lists)).flatMap(({ body }) => body.items);
      return plainly(`/attempts/${running[0]?.id ?? (await attempt())}/resumption`);
    },
    "POST /attempts/:id/put-back": async () => {
      const id = await attempt();
      await send("PUT", `/api/attempts/${id}/set-aside`, { reason: "a cable" });
      return plainly(`/attempts/${id}/put-back`);
    },
    "POST /attempts/:id/gave-way/:stamp/restoration": async () => {
      const id = await attempt();
      const one = outputGivenWay(id, stampOf(0, 0, ""), "sum differs");
      await server.journal.write(() => server.journal.attempts.keepGaveWay(id, [one]));
      return plainly(`/attempts/${id}/gave-way/${one.stamp}/restoration`);
    },
    "POST /heat/:id/measured": async () => {
      const id = await attempt();
      const csv = { "content-type": "text/csv" };
      await send("POST", `/api/attempts/${id}/trace`, sensorLog(300), csv);
      return plainly(`/heat/${id}/measured`, { use: "log" });
    },
    "POST /heat/:id/logs/:logId/reading": async () => {
      const page = await log();
      const forms = formsIn((await send("GET", page)).body, page);
      return sendingOf(forms.find(({ action }) => action.endsWith("/reading")) as PageForm, {});
    },
    "POST /heat/:id/logs/:logId/table": async () =>
      plainly(`${await log()}/table`, { separator: "commas", headerAt: "1" }),
    "POST /heat/:id/logs/:logId/cancellation": async () => plainly(`${await log()}/cancellation`),
    "POST /heat/:id/logs": async () => {
      const page = `/heat/${await attempt()}`;
      const form = formsIn((await send("GET", page)).body, page).find(({ isMultipart }) => isMultipart);
      return sendingOf(form as PageForm, { file: Buffer.from(sensorLog(40)) });
    },
    "POST /journal/import": async () => {
      const id = await build();
      const page = (await send("GET", `/journal/import?build=${id}`)).body;
      const [form] = formsIn(page, "/journal/import").filter(({ isMultipart }) => isMultipart);
      const lines =
        "workload;clockMhz;voltageMv;outcome;durationS\nNew;4100;1200;pass;61\nNew;4100;1200;pass;61";
      const load = { "workload new": "new:mixed" };
      const look = sendingOf(withSaid(form as PageForm, { ...load, build: id, text: lines }), {});
      const seen = (await send("POST", look.url, look.body, { "content-type": look.type })).body;
      const [last] = formsIn(seen, "/journal/import").filter(({ isMultipart }) => isMultipart);
      return sendingOf(withSaid(last as PageForm, { ...load, build: id, text: lines, act: "import" }), {});
    },
    "POST /builds/:id/corrections": async () => correcting(),
    "POST /builds/:id/corrections/undoing": async () => {
      const { url, body, type } = await correcting();
      const page = String((await send("POST", url, body, { "content-type": type })).headers.location);
      const forms = formsIn((await send("GET", page)).body, page);
      return sendingOf(forms.find(({ action }) => action.endsWith("/undoing")) as PageForm, {});
    },
    "POST /attempts/:id/correction": async () => {
      const id = await attempt();
      return plainly(`/attempts/${id}/correction`, { outcome: "freeze", once: id });
    },
    "POST /sensors": async () => plainly("/sensors", { recorded: "false" }),
    "POST /journal/merges/:id/undoing": async () => {
      const at = server.clock.now();
      const id = server.journal.newId(at);
      server.journal.writeNow(() => server.journal.merges.keep({ id, at, added: 0, updated: 0 }, []));
      return plainly(`/journal/merges/${id}/undoing`, { once: server.journal.newId(at) });
    },
    "POST /journal/corrections/undoing": async () => {
      const { url, body, type } = await correcting();
      await send("POST", url, body, { "content-type": type });
      const at = server.clock.now();
      return plainly("/journal/corrections/undoing", { at, once: server.journal.newId(at) });
    },
    "POST /journal/blanking": async () =>
      plainly("/journal/blanking", { once: server.journal.newId(server.clock.now()) }),
    "POST /journal/without-log": async () => plainly("/journal/without-log"),
  };
}

const patternOf = (route: string): RegExp =>
  new RegExp(`^${route.replace("POST ", "").replace(/:\w+/g, "[^/]+").replaceAll(".", "\\.")}$`);

async function metTwice(server: TestServer, { url, body, type }: Sending): Promise<unknown> {
  const sent = () => server.send("POST", url, body, { "content-type": type });
  const first = await sent();
  const print = printOf(server);
  const again = await sent();
  return {
    ...{
      first: first.status,
      again: again.status,
      refusal: first.status >= 400 ? (/role="alert".*?<\/div>/s.exec(first.body)?.[0] ?? first.body) : null,
    },
    goesElsewhere: first.headers.location !== again.headers.location,
    changesMore: printOf(server) !== print,
  };
}

const once = (status: number) => ({
  ...{ first: status, again: status, refusal: null, goesElsewhere: false, changesMore: false },
});

/** Need no key, and why. */
const without: Readonly<Record<string, string>> = {
  "POST /bench/invented-machine":
    "keeps nothing itself, stands in the demo alone, and a build attended already gets no second",
  "POST /bench/beginning": "stands on an empty bench alone: below",
};

describe("a form that comes twice", () => {
  it("is done once and answered as before, at every address that takes one", async () => {
    const server = await abusedWorld();
    const exported = JSON.stringify((await server.send("GET", "/api/export")).body);
    const behind = behindOthers(server);
    const forms = (await formsOf(server)).flat().filter(({ method }) => method === "POST");
    const routes = routesOf(server).filter((route) => /^POST \/(?!api\/)/.test(route));
    const missing: string[] = [];
    for (const route of routes.filter((one) => !Object.hasOwn(without, one))) {
      const pattern = patternOf(route);
      await putBack(server);
      const form = forms.find(({ action }) => pattern.test(action.split("?")[0] ?? ""));
      const file = Buffer.from(exported);
      const sending = (await behind[route]?.()) ?? (form && sendingOf(form, { file, image: madePng() }));
      if (!sending) {
        missing.push(route);
        continue;
      }
      const met = await metTwice(server, sending);
      const isPage =
        /^POST \/journal\/(merge$|merges\/|edits\/|corrections\/|backups|locked-backup$|blanking)/.test(
          route,
        );
      const status = isPage ? 200 : 303;
      expect.soft([route, met]).toEqual([route, once(status)]);
    }
    expect(missing).toEqual([]);
  }, 180_000);

  it("begins one bench where there is none", async () => {
    const server = await testServer();
    const form = formsIn((await server.send("GET", "/")).body, "/").find(({ method }) => method === "POST");
    const met = await metTwice(server, sendingOf(form as PageForm, {}));
    expect(met).toMatchObject({ changesMore: false, goesElsewhere: false });
    expect(server.journal.builds.count()).toBe(1);
  });
});
