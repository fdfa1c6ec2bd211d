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

/** Brought in for a chart that is saved, or once this device is let in no more: no page waits for it. */
const comesWhenNeeded = /\/(save|shutOut)-\w+\.js$/;

/** Scripts that a script brings in on this page: what waits for an attribute comes only where the page has it. */
function imported(script: string, page: string): readonly string[] {
  const waiting = new Map(
    [...script.matchAll(/\bon:"[^"]*\[(data-[a-z]+)\][^"]*"[^{}]*?\bimport\("(\.[^"]+)"\)/g)].map(
      ([, attribute = "", address = ""]) => [address, attribute],
    ),
  );
  return [...script.matchAll(/(?:\bfrom\s*|\bimport\s*\(?\s*)"(\.[^"]+)"/g)]
    .map(([, address = ""]) => address)
    .filter((address) => {
      if (comesWhenNeeded.test(address)) return false;
      const attribute = waiting.get(address);
      return attribute === undefined || new RegExp(`\\s${attribute}[\\s=>]`).test(page);
    });
}

/** Every page the site leads to from its first, and those of one build and of two. */
async function pagesOf(address: string, builds: readonly string[]): Promise<readonly string[]> {
  const { text } = await fetched(`${address}/`);
  const led = [...text.matchAll(/<a\b[^>]*\bhref="(\/[a-z-]*)"/g)].map(([, page]) => page ?? "");
  return [...new Set([...led, "/", `/builds/${builds[0]}`, `/compare?a=${builds[0]}&b=${builds[1]}`])];
}

/** Script and style of one page, compressed, each file once. A page that is not there weighs nothing. */
async function weightOf(page: string): Promise<number> {
  const { status, text } = await fetched(page);
  if (status === 404) return 0;
  if (status !== 200) throw new Error(`${page} answered ${status}.`);
  const seen = new Set(linked(text).map((address) => new URL(address, page).href));
  let total = 0;
  for (const address of seen) {
    const file = await fetched(address);
    if (file.status !== 200) throw new Error(`${address} answered ${file.status}.`);
    total += file.bytes;
    for (const more of imported(file.text, text)) seen.add(new URL(more, address).href);
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
      try {
        const weights: number[] = [];
        for (const page of await pagesOf(address, builds)) weights.push(await weightOf(`${address}${page}`));
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
