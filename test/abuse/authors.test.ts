import { writeFileSync } from "node:fs";
import path from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import Fastify, { type FastifyReply } from "fastify";
import { afterEach, describe, expect, it } from "vitest";
import { chipActions } from "../../server/actions/parts.ts";
import type { Journal } from "../../server/store/file/journal.ts";
import { freshJournal, type TestServer, theInstant } from "../support/bench.ts";
import { type Assault, assaultOn } from "./assault.ts";
import { authorsOf } from "./authors.ts";

const toClose: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const close of toClose.splice(0)) await close();
});

const asPost = (url: string) => ({ method: "POST", url, headers: [], body: Buffer.from("x") });

/** A server that does wrong in the ways that a refusal may: each of its addresses is one. */
async function wrongServer(patience?: Parameters<typeof assaultOn>[2]): Promise<Assault> {
  const authors = authorsOf(freshJournal());
  const { journal } = authors;
  const app = Fastify();
  toClose.push(() => app.close());
  app.addContentTypeParser("*", { parseAs: "string" }, (_, body, done) => done(null, body));
  const refused = (reply: FastifyReply) => reply.code(422).send("No: this cannot be taken.");
  let afterwards: Promise<unknown> = Promise.resolve();
  app.post("/right", (_, reply) => refused(reply));
  app.post("/answers-then-writes", (_, reply) => {
    afterwards = pause(50).then(() => journal.write(() => aChip(journal)));
    return reply.send("Taken.");
  });
  app.post("/waits-and-refuses", async (_, reply) => {
    await afterwards;
    return refused(reply);
  });
  app.post("/writes-and-refuses", async (_, reply) => {
    await pause(5);
    await journal.write(() => aChip(journal));
    return refused(reply);
  });
  app.post("/undoes-and-refuses", async (_, reply) => {
    await journal
      .write(() => {
        aChip(journal);
        throw new Error("not after all");
      })
      .catch(() => undefined);
    return refused(reply);
  });
  app.post("/holds-and-refuses", async (_, reply) => {
    const giveBack = journal.holdWrites();
    elsewhere(journal);
    giveBack();
    return refused(reply);
  });
  app.post("/writes-past-and-refuses", (_, reply) => {
    elsewhere(journal);
    return refused(reply);
  });
  app.post("/never-answers", () => new Promise(() => undefined));
  let files = 0;
  app.post("/leaves-a-file-and-refuses", (_, reply) => {
    writeFileSync(path.join(path.dirname(journal.file), `left-${++files}`), "");
    return refused(reply);
  });
  await app.listen({ host: "127.0.0.1", port: 0 });
  return assaultOn({ app, journal } as unknown as TestServer, authors, patience);
}

const aChip = (journal: Journal) =>
  chipActions.add(
    { name: `Tern ${journal.begun()}`, kind: "cpu", tempLimitC: 95 },
    { journal, now: theInstant },
  );

const elsewhere = ({ db }: Journal): void => void db.$client.exec("UPDATE rules SET name = name || 'x'");

describe("what a refused request is held to have changed", () => {
  it("is nothing of what an earlier one does late", async () => {
    const { met } = await wrongServer();
    expect(await met(asPost("/right"))).toBeNull();
    expect(await met(asPost("/answers-then-writes"))).toBeNull();
    expect(await met(asPost("/waits-and-refuses"))).toBeNull();
    expect(await met(asPost("/undoes-and-refuses"))).toBeNull();
  });

  it("is said of one that never answers that it does not", async () => {
    const { met } = await wrongServer({ hangMs: 50, unansweredMs: 100 });
    expect(await met(asPost("/never-answers"))).toBe("no answer");
  }, 300_000);

  it.each([
    ["/writes-and-refuses", "changed something and answered 422"],
    ["/holds-and-refuses", "changed something and answered 422"],
    ["/writes-past-and-refuses", "changed something past the journal's own writing and answered 422"],
    ["/leaves-a-file-and-refuses", "brought or took a file and answered 422"],
  ])("is what it did: %s", async (url, fault) => {
    const { met } = await wrongServer();
    expect(await met(asPost(url))).toBe(fault);
    expect(await met(asPost("/right"))).toBeNull();
  });
});
