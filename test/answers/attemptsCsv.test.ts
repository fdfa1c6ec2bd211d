import { describe, expect, it } from "vitest";
import { attemptsCsvDespite } from "../../server/answers/attemptsCsv.ts";
import type { Build } from "../../server/bench/things/build.ts";
import type { Journal } from "../../server/store/file/journal.ts";
import { smallWorld, testServer } from "../support/bench.ts";

/** The same journal, except that reading its attempts breaks off after the first so many. */
const brokenAfter = (journal: Journal, most: number): Journal => ({
  ...journal,
  attempts: {
    ...journal.attempts,
    *eachOf(buildId: string) {
      let given = 0;
      for (const attempt of journal.attempts.eachOf(buildId)) {
        if (given++ === most) throw new Error("a damaged page");
        yield attempt;
      }
    },
  },
});

describe("attemptsCsvDespite(journal, build, rescue)", () => {
  it("gives each attempt once where it breaks off midway, and only what is lost in a last line", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    for (let n = 0; n < 5; n++) {
      const draft = {
        workloadId: heavy,
        clockMhz: 4600 + n,
        voltageMv: 1200,
        outcome: "pass",
        durationS: 900,
      };
      await server.send("POST", `/api/builds/${cupboard}/attempts`, draft);
    }
    const { journal } = server;
    const build = journal.builds.find(cupboard) as Build;
    const textOf = async (read: Journal, lost: readonly string[]) => {
      const pieces: string[] = [];
      const rescue = async (error: unknown) => {
        expect(String(error)).toBe("Error: a damaged page");
        return { journal, lost };
      };
      for await (const piece of attemptsCsvDespite(read, build, rescue)) pieces.push(piece);
      return pieces.join("");
    };
    const whole = await textOf(journal, ["never said"]);
    expect(whole.trimEnd().split("\r\n")).toHaveLength(6);
    for (const most of [0, 2, 4]) {
      expect(await textOf(brokenAfter(journal, most), [])).toBe(whole);
      const said = (await textOf(brokenAfter(journal, most), ["One of builds, too."])).slice(whole.length);
      expect(said).toMatch(/^,+"Not in this file: One of builds, too\.",+\r\n$/);
    }
  });
});
