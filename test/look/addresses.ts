/** What a page may say before its folds, where there is a limit to it. */
type Walked = Readonly<{ name: string; address: string | (() => Promise<string>); mostWords?: number }>;

/** Where it is: what waits but a while is made as it is come to. */
export const addressOf = async ({ address }: Walked): Promise<string> =>
  typeof address === "string" ? address : address();

type Things = { items: { id: string; name: string }[] };

const ask = async (address: string): Promise<Things> => (await fetch(address)).json();

/** Every page of the demo, on the demo's own things. */
export async function everyPage(url: string): Promise<readonly Walked[]> {
  const builds = (await ask(`${url}/api/builds`)).items;
  const [first, second] = builds.map(({ id }) => id) as [string, string];
  const done = builds.find(({ name }) => name === "Cupboard, Quay S")?.id;
  const byOffset = builds.find(({ name }) => name === "Long rig, Lens 3")?.id;
  const chips = (await ask(`${url}/api/chips`)).items;
  // The one that stands in most builds: something was changed between them.
  const chip = chips.find(({ name }) => name === "Tern 8");
  const [board] = (await ask(`${url}/api/boards`)).items;
  const [load] = (await ask(`${url}/api/workloads`)).items;
  const [attempt] = (await ask(`${url}/api/builds/${first}/attempts?limit=1`)).items;
  const heat = await (await fetch(`${url}/heat`)).text();
  const run = /href="(\/heat\/[0-9a-f-]{36})/.exec(heat)?.[1] ?? "/heat/none";
  return [
    { name: "bench", address: "/", mostWords: 60 },
    ...builds.map(({ id }, at) => ({ name: `bench-${at + 1}`, address: `/?build=${id}`, mostWords: 60 })),
    { name: "bench-done", address: `/?build=${done}`, mostWords: 60 },
    { name: "builds", address: "/builds" },
    { name: "build-new", address: "/builds/new" },
    ...builds.map(({ id }, at) => ({ name: `build-${at + 1}`, address: `/builds/${id}`, mostWords: 160 })),
    { name: "build-attempts", address: `/builds/${second}/attempts` },
    { name: "build-power", address: `/builds/${second}/power` },
    { name: "build-power-by-offset", address: `/builds/${byOffset}/power` },
    { name: "build-edit", address: `/builds/${second}/edit` },
    { name: "build-mounts", address: `/builds/${second}/mounts` },
    { name: "build-versions", address: `/builds/${second}/versions` },
    { name: "build-corrections", address: `/builds/${second}/corrections` },
    { name: "note", address: `/builds/${second}/note?clockMhz=4550&voltageMv=1200` },
    { name: "compare", address: `/compare?a=${first}&b=${second}`, mostWords: 120 },
    { name: "compare-chosen", address: "/compare", mostWords: 120 },
    { name: "changes", address: `/changes?chip=${chip?.id}`, mostWords: 120 },
    { name: "heat", address: "/heat" },
    { name: "heat-run", address: run },
    { name: "noise", address: `/noise?build=${first}`, mostWords: 120 },
    { name: "write-up-choose", address: "/write-up" },
    { name: "write-up", address: `/write-up?builds=${first},${second}&use=daily&wait=yes` },
    { name: "parts", address: "/parts" },
    ...chips.map(({ id }, at) => ({ name: `chip-${at + 1}`, address: `/parts/chips/${id}` })),
    { name: "board", address: `/parts/boards/${board?.id}` },
    { name: "load", address: `/parts/workloads/${load?.id}` },
    { name: "chip-new", address: "/parts/chips/new" },
    { name: "rule-new", address: "/parts/rules/new" },
    { name: "sensors", address: "/sensors" },
    { name: "journal", address: "/journal" },
    { name: "promises", address: "/journal/promises" },
    { name: "import", address: "/journal/import" },
    { name: "cautions", address: "/cautions" },
    { name: "attempt", address: `/attempts/${attempt?.id}` },
    { name: "pictures", address: `/builds/${first}/pictures` },
    // It waits for half an hour, so it is sent once its turn has come.
    { name: "log-waiting", address: () => logWaiting(url, attempt?.id ?? "") },
  ];
}

/** A log whose columns nobody has named yet: it waits on a page of its own. */
async function logWaiting(url: string, attemptId: string): Promise<string> {
  const rows = Array.from({ length: 60 }, (_, s) => `${s},${40 + Math.min(30, s)},1450,${90 + (s % 3)}`);
  const log = new Blob([["when,core,fan,watts", ...rows].join("\n")], { type: "text/csv" });
  const form = new FormData();
  form.append("file", log, "bench.csv");
  const answer = await fetch(`${url}/heat/${attemptId}/logs`, {
    method: "POST",
    body: form,
    redirect: "manual",
  });
  return answer.headers.get("location") ?? "/heat/none";
}

/** What a journal without a build can be asked. */
export const emptyPages: readonly Walked[] = [
  "/",
  "/builds",
  "/builds/new",
  "/compare",
  "/changes",
  "/heat",
  "/noise",
  "/write-up",
  "/parts",
  "/sensors",
  "/journal",
  "/cautions",
].map((address) => ({ name: `empty${address === "/" ? "-bench" : address.replaceAll("/", "-")}`, address }));
