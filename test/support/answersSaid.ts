import type { TestServer } from "./bench.ts";

/** What a page or an address says a build is to run: "4575@1.200, 96 in 100, done"; "none" where it says nothing is. */
export type Said = Readonly<{ where: string; buildId: string; answer: string }>;

export const plainText = (html: string): string =>
  html
    .replace(/<[^>]*>/g, "")
    .replaceAll("&amp;", "&")
    .replaceAll("\u00a0", " ")
    .replace(/\s+/g, " ");

const stateOfWords: Readonly<Record<string, string>> = {
  Done: "done",
  "One run short": "enough",
  "Still looking": "looking",
  "Too little on record": "too-little",
};

/** The first answer that a text says. */
function answerInText(text: string): string {
  const run = /(?:Run|So far:) ([\d.]+) (?:MHz|MT\/s) at ([\d.]+) V/.exec(text);
  const byOffset = /(?:Run|So far:) ([+−][\d.]+) (?:MHz|mV)/.exec(text);
  const byPart = /(?:Run|So far:) ((?:[^:,.\d−+]+\d* [+−]?[\d.]+ (?:MHz|mV)(?:, )?)+)/.exec(text);
  if (byOffset && (!run || byOffset.index < run.index)) return offsetInText(text, byOffset);
  if (byPart && (!run || byPart.index < run.index)) return offsetInText(text, byPart, byPart[1]);
  if (!run) {
    if (/No setting to run|Nothing was tried|What to run on .* is being worked out/.test(text)) return "none";
    throw new Error(`No answer in: ${text.slice(0, 300)}`);
  }
  const passes =
    /(?:an hour|\d+ hours) there pass(?:es)? (\d+) in 100|no chance is known|chance is being worked out/i;
  const chance = passes.exec(text.slice(run.index))?.[1] ?? "unknown";
  const state = new RegExp(Object.keys(stateOfWords).join("|")).exec(text.slice(run.index))?.[0] ?? "";
  return said(Number(run[1]), Number(run[2]) * 1000, chance, stateOfWords[state] ?? "no state");
}

function offsetInText(text: string, run: RegExpExecArray, list?: string): string {
  const after = text.slice(run.index);
  const chance =
    /(?:an hour|\d+ hours) (?:there|of each part) pass(?:es)? (\d+) in 100/i.exec(after)?.[1] ?? "unknown";
  const state = new RegExp(Object.keys(stateOfWords).join("|")).exec(after)?.[0] ?? "";
  const offset = list?.replace(/ (?:MHz|mV)/g, "") ?? Number((run[1] ?? "").replace("−", "-"));
  return offsetSaid(offset, chance, stateOfWords[state] ?? "no state");
}

const offsetSaid = (offset: number | string, chance: string, state: string): string =>
  `${offset}, ${chance}, ${state}`;

const said = (clockMhz: number, voltageMv: number, chance: string, state: string): string =>
  `${clockMhz}@${(voltageMv / 1000).toFixed(5)}, ${chance}, ${state}`;

type Short = {
  state: string;
  setting: {
    clockMhz: number | null;
    voltageMv: number | null;
    offset?: number | null;
    offsets?: Readonly<Record<string, number>> | null;
    chance: number | null;
  } | null;
};

/** As a page would round it. */
function answerInJson({ state, setting }: Short): string {
  if (setting === null) return "none";
  const { clockMhz, voltageMv, chance } = setting;
  const inHundred = chance === null ? "unknown" : String(Math.min(99, Math.max(1, Math.round(100 * chance))));
  if (setting.offset != null) return offsetSaid(setting.offset, inHundred, state);
  if (setting.offsets != null) return offsetSaid(listOf(setting.offsets), inHundred, state);
  return said(clockMhz ?? Number.NaN, voltageMv ?? Number.NaN, inHundred, state);
}

const listOf = (offsets: Readonly<Record<string, number>>): string =>
  Object.entries(offsets)
    .map(([part, offset]) => `${part} ${offset < 0 ? "−" : offset > 0 ? "+" : ""}${Math.abs(offset)}`)
    .join(", ");

/** A cell tells a list in short, and the whole of it in its title. */
const partByPart = /^[^>]*><span class="quantity" title="([^"]+)">/;

/** Every answer that is marked as one on a page. */
function answersOnPage(where: string, html: string): Said[] {
  const marks = [...html.matchAll(/data-answer="([^"]+)" data-state="([^"]+)"/g)];
  return marks.map((mark, i) => {
    const from = (mark.index ?? 0) + mark[0].length;
    const piece = html.slice(from, marks[i + 1]?.index ?? from + 4000);
    const isCell =
      /^[^>]*>[\d–.+−]*(?:<span[^>]*>)?(?: (?:MHz|MT\/s))?<\/span>/.test(piece) || partByPart.test(piece);
    const answer = isCell
      ? answerInRow(html, mark.index ?? 0, mark[2] as string)
      : answerInText(plainText(piece.slice(piece.indexOf(">") + 1)));
    if (answer !== "none" && !answer.endsWith(`, ${mark[2]}`))
      throw new Error(`${where} says ${answer} and is marked ${mark[2]}`);
    return { where, buildId: mark[1] as string, answer };
  });
}

/** A row of the list of builds: clock, voltage and chance in cells of their own. */
function answerInRow(html: string, at: number, state: string): string {
  const row = html.slice(html.lastIndexOf("<tr", at), html.indexOf("</tr>", at));
  const cells = [...row.matchAll(/<td[^>]*>(.*?)<\/td>/gs)].map((cell) => plainText(cell[1] ?? ""));
  const [clock = "", voltage = "", chance = ""] = cells.slice(1);
  if (!/\d/.test(clock)) return "none";
  const list = / title="([^"]+ (?:MHz|mV))"/.exec(row)?.[1]?.replace(/ (?:MHz|mV)/g, "");
  if (list !== undefined) return offsetSaid(list, /(\d+) in 100/.exec(chance)?.[1] ?? "unknown", state);
  const offset = /^([+−][\d.]+) MHz$/.exec(clock)?.[1];
  if (offset !== undefined)
    return offsetSaid(Number(offset.replace("−", "-")), /(\d+) in 100/.exec(chance)?.[1] ?? "unknown", state);
  return said(
    Number(clock.replace(/\s*(MT\/s|MHz)$/, "")),
    Number(voltage) * 1000,
    /(\d+) in 100/.exec(chance)?.[1] ?? "unknown",
    state,
  );
}

type World = Readonly<{ builds: readonly Readonly<{ id: string; name: string }>[]; chip: string }>;

async function got(server: TestServer, url: string): Promise<{ status: number; text: string }> {
  const { status, body } = await server.send("GET", url);
  return { status, text: typeof body === "string" ? body : JSON.stringify(body) };
}

const afterWhat = "for what it is after";

/** What text files and the account say, by the name of the build. */
const answersInAccount = (where: string, text: string, { builds }: World): Said[] =>
  builds.flatMap(({ id, name }) => {
    const at = text.indexOf(`${name}, ${afterWhat}`);
    if (at < 0) return [];
    const end = text.indexOf(afterWhat, at + name.length + afterWhat.length);
    return [{ where, buildId: id, answer: answerInText(text.slice(at, end < 0 ? undefined : end)) }];
  });

/** Everything that answers at once. */
export async function saidAtOnce(server: TestServer, world: World, only = world.builds): Promise<Said[]> {
  const { builds, chip } = world;
  const all: Said[] = [];
  const [first, second] = builds;
  const pages = [
    "/builds",
    `/changes?chip=${chip}`,
    ...(first && second ? [`/compare?a=${first.id}&b=${second.id}`] : []),
    ...(builds.length > 2
      ? [
          `/compare?a=${first?.id}${builds
            .slice(1, 3)
            .map(({ id }) => `&b=${id}`)
            .join("")}`,
        ]
      : []),
    ...only.flatMap(({ id }) => [`/builds/${id}`, `/?build=${id}`]),
  ];
  for (const url of pages) {
    const found = answersOnPage(url, (await got(server, url)).text);
    if (found.length === 0) throw new Error(`${url} says no answer`);
    all.push(...found);
  }
  const account = `/write-up?builds=${builds.slice(0, 6).map(({ id }) => id)}`;
  all.push(...answersInAccount(account, plainText((await got(server, account)).text), world));
  for (const { id } of only) {
    for (const kind of ["best", "next", "limit"]) {
      const url = `/api/builds/${id}/${kind}?wait=0`;
      const { body } = await server.send("GET", url);
      all.push({ where: url, buildId: id, answer: answerInJson(kind === "best" ? body : body.answer) });
    }
    for (const file of ["note", "note.txt"]) {
      const url = `/builds/${id}/${file}`;
      const note = await got(server, url);
      all.push({ where: url, buildId: id, answer: answerInText(plainText(note.text)) });
    }
  }
  return all;
}

/** Everything that waits for the fit. */
export async function saidInTheEnd(server: TestServer, world: World): Promise<Said[]> {
  const { builds, chip } = world;
  const all: Said[] = [];
  for (const { id } of builds)
    for (const kind of ["best", "next", "limit"]) {
      const url = `/api/builds/${id}/${kind}`;
      const { body } = await server.send("GET", url);
      all.push({ where: url, buildId: id, answer: answerInJson(kind === "best" ? body : body.answer) });
    }
  const [first, second] = builds;
  for (const url of [
    `/api/changes?chip=${chip}`,
    ...(first && second ? [`/api/compare?a=${first.id}&b=${second.id}`] : []),
  ]) {
    const { body } = await server.send("GET", url);
    for (const answer of body.answers)
      all.push({ where: url, buildId: answer.buildId, answer: answerInJson(answer) });
  }
  const ids = builds.slice(0, 6).map(({ id }) => id);
  for (const url of [
    `/api/write-up?builds=${ids}`,
    `/write-up.md?builds=${ids}`,
    `/write-up?builds=${ids}&wait=yes`,
  ])
    all.push(...answersInAccount(url, plainText((await got(server, url)).text.replaceAll("\\", "")), world));
  return all;
}

/** One answer for each build, whoever says it; named where two differ. */
export function disagreements(all: readonly Said[]): string[] {
  return [...new Set(all.map(({ buildId }) => buildId))].flatMap((id) => {
    const of = all.filter(({ buildId }) => buildId === id);
    const answers = [...new Set(of.map(({ answer }) => answer))];
    return answers.length < 2
      ? []
      : [
          answers
            .map((answer) => `${answer} (${of.find((one) => one.answer === answer)?.where})`)
            .join(" | "),
        ];
  });
}
