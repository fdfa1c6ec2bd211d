import { expect, it } from "vitest";
import { tryCutOut } from "../../server/attend/cutOut.ts";
import { nothingRead } from "../../server/attend/reading.ts";
import { type LoadBehaviour, simulatedLoad } from "../support/simulatedMachine.ts";

/** A machine at rest at 40 °C that warms by so much a second while its load goes on. */
async function tried(risingC: number, behaviour: LoadBehaviour = {}) {
  let nowS = 0;
  const loads: ReturnType<typeof simulatedLoad>[] = [];
  const found = await tryCutOut({
    readings: {
      canRead: [],
      cannotRead: [],
      read: () => ({ ...nothingRead, tempC: loads.length === 0 ? 40 : 40.3 + risingC * nowS }),
    },
    startLoad: () => {
      const load = simulatedLoad(() => nowS, behaviour);
      loads.push(load);
      return load;
    },
    nowS: () => nowS,
    wait: async () => {
      nowS += 1;
    },
  });
  return { ...found, nowS, load: loads[0] };
}

it("ends the load a few degrees above rest, and says how soon it was gone", async () => {
  const { works, words, nowS, load } = await tried(0.5);
  expect([works, words]).toEqual([true, "Heat ended the load: 5 degrees above rest, it was gone 1 s later."]);
  expect(load?.isGone()).toBe(true);
  expect(nowS).toBe(11);
});

it("ends a load that does not heed by force", async () => {
  const deaf = { asked: { exit: { code: 0 }, afterS: 1e6 } };
  expect(await tried(0.5, deaf)).toMatchObject({ works: true, words: expect.stringContaining("10 s later") });
});

it("is no proof where another thing than heat ended the load", async () => {
  // A sensor that stands still ends a run too, and says nothing of what heat would do.
  expect(await tried(0)).toMatchObject({
    works: false,
    words: expect.stringContaining("has stood still"),
  });
});

it("is no proof where nothing warms, the load ends first, or no temperature is read", async () => {
  expect(await tried(0.01)).toMatchObject({ works: false, words: expect.stringContaining("did not warm") });
  const short = { ends: (s: number) => (s >= 3 ? ({ code: 0 } as const) : null) };
  expect(await tried(0.5, short)).toMatchObject({
    works: false,
    words: expect.stringContaining("by itself"),
  });
  const blind = await tryCutOut({
    readings: { canRead: [], cannotRead: [], read: () => nothingRead },
    startLoad: () => expect.fail("nothing is started"),
    nowS: () => 0,
    wait: async () => undefined,
  });
  expect(blind).toMatchObject({ works: false, words: expect.stringContaining("No temperature") });
});
