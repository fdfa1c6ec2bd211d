import { get } from "node:http";
import { inFolder, journalIn } from "./journals.ts";
import type { Measured, Measurement } from "./measurement.ts";
import { served } from "./server.ts";

const mostBytes = 40_000;

type Fetched = Readonly<{ status: number; bytes: number; text: string }>;

/** A file as a browser gets it: what travels is counted compressed, what it says is read plain. */
async function fetched(url: string): Promise<Fetched> {
  const plain = await fetch(url, { headers: { "accept-encoding": "identity" } });
  const text = await plain.text();
  const bytes = await new Promise<number>((resolve, reject) => {
    get(url, { headers: { "accept-encoding": "br, gzip" } }, (response) => {
      let length = 0;
      response.on("data", (chunk: Buffer) => {
        length += chunk.length;
      });
      response.on("end", () => resolve(length));
    }).on("error", reject);
  });
  return { status: plain.status, bytes, text };
}

const linked = (page: string): readonly string[] => [
  ...[...page.matchAll(/<script\b[^>]*\bsrc="([^"]+)"/g)].map(([, address]) => address ?? ""),
  ...[...page.matchAll(/<link\b[^>]*>/g)].flatMap(([link]) =>
    /\brel="?(stylesheet|modulepreload)/.test(link) ? [/\bhref="([^"]+)"/.exec(link)?.[1] ?? ""] : [],
  ),
];

/** Scripts that a script brings in, at once or when it comes to need them: the most a page could fetch. */
const imported = (script: string): readonly string[] =>
  [...script.matchAll(/(?:\bfrom\s*|\bimport\s*\(?\s*)"(\.[^"]+)"/g)].map(([, address]) => address ?? "");

/** Script and style of one page, compressed, each file once. */
async function weightOf(page: string): Promise<number> {
  const { status, text } = await fetched(page);
  if (status !== 200) throw new Error(`${page} answered ${status}.`);
  const seen = new Set(linked(text).map((address) => new URL(address, page).href));
  let total = 0;
  for (const address of seen) {
    const file = await fetched(address);
    if (file.status !== 200) throw new Error(`${address} answered ${file.status}.`);
    total += file.bytes;
    for (const more of imported(file.text)) seen.add(new URL(more, address).href);
  }
  return total;
}

const pageWeight: Measurement = {
  name: "page weight",
  goal: "script and style of any page at most 40 kB compressed",
  run: () =>
    inFolder(async (folder): Promise<Measured> => {
      const journal = journalIn(folder, { builds: 2, attempts: 100, seed: 1 });
      const { app, address } = await served(journal);
      const builds = journal.builds.all().map(({ id }) => id);
      const pages = [
        "/",
        "/builds",
        `/builds/${builds[0]}`,
        `/compare?a=${builds[0]}&b=${builds[1]}`,
        "/parts",
        "/journal",
        "/cautions",
      ];
      try {
        const weights: number[] = [];
        for (const page of pages) weights.push(await weightOf(`${address}${page}`));
        const ours = Math.max(...weights);
        return {
          ours,
          reference: mostBytes,
          unit: "B",
          ratio: ours / mostBytes,
          limit: 1,
          met: ours <= mostBytes,
        };
      } finally {
        await app.close();
        journal.close();
      }
    }),
};

export const measurements: readonly Measurement[] = [pageWeight];
