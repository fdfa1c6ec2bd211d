import { expect } from "vitest";
import { ensureStandardRule } from "../../server/actions/parts.ts";
import { type FitKind, type FitQuestions, fitAnswerOf } from "../../server/bench/best/limitQuestions.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { openJournal } from "../../server/store/file/journal.ts";
import { migrations, temporaryFolder, testServer } from "../support/bench.ts";
import { linesOnPage, newOnPage, toldOf } from "./told.ts";

/** A bench whose ids, chances and times are the same each time it is drawn. */
export async function unchangedBench(seed: number) {
  const random = seededRandom(seed);
  const server = await testServer(seededJournal(seed), {
    reckon: async (kind, request) => fitAnswerOf(kind as FitKind, request as FitQuestions[FitKind]),
  });
  const names = new Map<string, string>();
  const parts: string[] = [];
  const made = async (url: string, body: object, name?: string): Promise<string> => {
    const reply = await server.send("POST", url, body);
    expect(reply.status, `${url} ${JSON.stringify(reply.body)}`).toBe(201);
    names.set(reply.body.id, name ?? (body as { name?: string }).name ?? `${names.size + 1}`);
    return reply.body.id;
  };
  let minute = 0;
  /** Half an hour and more after the attempt before it. */
  const tried = async (build: string, attempt: object): Promise<string> => {
    minute += 30 + random.index(20);
    const startedAt = new Date(Date.UTC(2031, 3, 28, 8, minute)).toISOString();
    return made(`/api/builds/${build}/attempts`, { startedAt, ...attempt }, `attempt at ${minute} min`);
  };
  /** Adds the answers to what is told, under their addresses. */
  const ask = async (...addresses: readonly string[]): Promise<void> => {
    for (const address of addresses) {
      const { status, body } = await server.send("GET", address);
      parts.push(`## ${address}  ${status}\n${toldOf(body)}`);
    }
  };
  const said = new Set<string>();
  /** The same of pages: what a reader reads on them, less what was read on one before. */
  const read = async (...addresses: readonly string[]): Promise<void> => {
    for (const address of addresses) {
      const { status, body } = await server.send("GET", address, undefined, { accept: "text/html" });
      const lines = linesOnPage(withNames(String(body), names));
      parts.push(`## ${address}  ${status}, ${newOnPage(lines, said)}`);
    }
  };
  /** What was asked since it was last told. */
  const told = (): string => withNames(parts.splice(0).join("\n\n"), names);
  return { ...server, random, made, tried, ask, read, told };
}

function seededJournal(seed: number) {
  const chance = seededRandom(seed + 1000);
  const journal = openJournal(`${temporaryFolder()}/journal.db`, {
    migrations,
    randomBytes: (count: number) => Buffer.from(Array.from({ length: count }, () => chance.index(256))),
  });
  ensureStandardRule({ journal });
  return journal;
}

const anId = /[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[0-9a-f]{4}-[0-9a-f]{12}/g;

/** Ids give way to names, or to the order in which they turn up. */
function withNames(text: string, names: ReadonlyMap<string, string>): string {
  const others = new Map<string, string>();
  return text.replace(anId, (id) => {
    const name = names.get(id) ?? others.get(id) ?? `other ${others.size + 1}`;
    if (!names.has(id)) others.set(id, name);
    return `<${name}>`;
  });
}
