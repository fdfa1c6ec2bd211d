import { describe, expect, it } from "vitest";
import { keepOwnWords } from "../../server/actions/ownWords.ts";
import type { TestServer } from "../support/bench.ts";
import { bothTake, exported, hearing, take, twoBenches } from "../support/mergingBenches.ts";

describe("merging the words of an account", () => {
  const wordsOn = ({ journal, clock }: TestServer, builds: string) => ({
    write: (words: string): void => {
      clock.pass(1);
      const typed = [{ slot: "title", words, replaced: "as it was" }];
      journal.writeNow(() => keepOwnWords(builds, typed, { journal, now: clock.now() }));
    },
    standing: () => journal.writeUpWords.of(builds).title?.words,
    earlier: () => journal.writeUpWords.earlierOf(builds, "title").map(({ words }) => words),
  });
  const apart = async () => {
    const { here, there, world } = await twoBenches();
    const [cellar, hut] = [wordsOn(here, world.cupboard), wordsOn(there, world.cupboard)];
    hut.write("Written in the hut");
    here.clock.pass(5);
    cellar.write("Written in the cellar");
    return { here, there, world, cellar, hut };
  };

  it("keeps those that gave way in the history, once, also of a bench that hears of it later", async () => {
    const { here, there, world, cellar, hut } = await apart();
    for (let round = 0; round < 2; round += 1) await bothTake(here, there);
    for (const bench of [cellar, hut]) {
      expect(bench.standing()).toBe("Written in the cellar");
      expect(bench.earlier()).toEqual(["Written in the hut"]);
    }
    cellar.write("Written at last");
    const third = await hearing(here);
    expect(wordsOn(third, world.cupboard).earlier()).toEqual(["Written in the cellar", "Written in the hut"]);
    expect((await exported(third)).earlierWords).toEqual((await exported(here)).earlierWords);
    expect(await take(third, here)).toMatchObject({ added: 0, updated: 0 });
    const { body: page } = await third.send("GET", `/write-up/words?builds=${world.cupboard}&use=daily`);
    expect(page).toContain("“Written in the hut”");
  });

  it("takes them out of the history again with the merge", async () => {
    const { here, there, cellar } = await apart();
    await take(here, there);
    expect(cellar.earlier()).toEqual(["Written in the hut"]);
    const [merge] = here.journal.merges.all();
    expect((await here.send("DELETE", `/api/merges/${merge?.id}`)).status).toBe(200);
    expect([cellar.standing(), cellar.earlier()]).toEqual(["Written in the cellar", []]);
  });

  it("puts back what stood before a merge without keeping a word of what came", async () => {
    const { here, there, hut } = await apart();
    await take(there, here);
    expect([hut.standing(), hut.earlier()]).toEqual(["Written in the cellar", ["Written in the hut"]]);
    const merge = there.journal.merges.all().find(({ updated }) => updated === 1);
    expect((await there.send("DELETE", `/api/merges/${merge?.id}`)).status).toBe(200);
    expect([hut.standing(), hut.earlier()]).toEqual(["Written in the hut", []]);
  });

  it("keeps the twenty written last, and the same ones on each bench", async () => {
    const { here, there, cellar, hut } = await apart();
    for (let n = 0; n < 15; n += 1) {
      cellar.write(`cellar ${n}`);
      there.clock.pass(3);
      hut.write(`hut ${n}`);
    }
    const early = await exported(there);
    await bothTake(here, there);
    await take(here, there);
    expect(cellar.earlier()).toHaveLength(20);
    expect(hut.earlier()).toEqual(cellar.earlier());
    const left = (await exported(here)).earlierWords;
    const { body: again } = await here.send("POST", "/api/import", early);
    expect(again).toMatchObject({ added: 0, updated: 0 });
    expect((await exported(here)).earlierWords).toEqual(left);
  });

  it("lets go of all of them with a build that is blanked, whatever is heard later", async () => {
    const { here, there, world, cellar, hut } = await apart();
    await bothTake(here, there);
    hut.write("Written once more");
    const early = await exported(there);
    await here.send("DELETE", `/api/builds/${world.cupboard}`);
    await here.send("PUT", `/api/builds/${world.cupboard}/blanking`);
    const { body: heard } = await here.send("POST", "/api/import", early);
    expect(heard).toMatchObject({ added: 0, updated: 0 });
    expect([cellar.standing(), cellar.earlier()]).toEqual([undefined, []]);
    await bothTake(there, here);
    expect([hut.standing(), hut.earlier()]).toEqual([undefined, []]);
    expect(JSON.stringify([await exported(here), await exported(there)])).not.toContain("Written");
  });
});
