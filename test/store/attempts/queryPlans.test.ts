import { describe, expect, it } from "vitest";
import { freshJournal, smallWorld, testServer } from "../../support/bench.ts";

/** Every statement that reads, as it was prepared meanwhile. */
function readsPrepared(journal: ReturnType<typeof freshJournal>) {
  const client = journal.db.$client;
  const prepare = client.prepare.bind(client);
  const seen = new Set<string>();
  client.prepare = ((text: string) => {
    if (/^\s*select/i.test(text)) seen.add(text);
    return prepare(text);
  }) as typeof client.prepare;
  const planOf = (text: string): readonly string[] =>
    (prepare(`EXPLAIN QUERY PLAN ${text}`).all(...blanksFor(text)) as readonly { detail: string }[]).map(
      ({ detail }) => detail,
    );
  return { seen, planOf };
}

const blanksFor = (text: string): readonly null[] => Array(text.split("?").length - 1).fill(null);

describe("what pages and answers read", () => {
  it("goes through all attempts of a journal once, to count what ran under each load", async () => {
    const journal = freshJournal();
    const { seen, planOf } = readsPrepared(journal);
    const server = await testServer(journal);
    const { send } = server;
    const { cupboard, frame, heavy, chip } = await smallWorld(server);
    const attempt = (
      await send("POST", `/api/builds/${cupboard}/attempts`, {
        ...{ workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 3600 },
      })
    ).body.id;
    for (const address of [
      ...["/", "/builds", "/heat", "/noise", "/parts", "/journal", "/write-up", `/changes?chip=${chip}`],
      ...[
        `/builds/${cupboard}`,
        `/builds/${cupboard}/attempts`,
        `/builds/${cupboard}/power`,
        `/builds/${cupboard}/mounts`,
      ],
      ...[`/compare?a=${cupboard}&b=${frame}`, `/attempts/${attempt}`, `/heat/${attempt}`],
      ...["/api/builds", "/api/attempts?search=door", `/api/builds/${cupboard}/attempts`],
      ...[`/api/builds/${cupboard}/frontier`, `/api/builds/${cupboard}/best`],
    ])
      await send("GET", address);
    const scans = [...seen].filter((text) =>
      planOf(text).some((step) => /^SCAN attempts(?! USING)/.test(step)),
    );
    expect(seen.size).toBeGreaterThan(20);
    expect(scans).toEqual([expect.stringMatching(/group by "attempts"."workload_id"$/)]);
  });
});
