import { expect, it } from "vitest";
import { bringGaveWayBack } from "../../server/actions/bringBack.ts";
import { noteGaveWay, outputGivenWay } from "../../server/actions/gaveWay.ts";
import { type GaveWay, mostGivenWay } from "../../server/bench/document/gaveWay.ts";
import { stampOf } from "../../server/bench/document/stamp.ts";
import type { Journal } from "../../server/store/file/journal.ts";

it("keeps what gave way once, the last ones of an attempt, and says of nothing else that it is new", () => {
  let kept: readonly GaveWay[] = [];
  const attempts = {
    gaveWayOf: () => kept,
    keepGaveWay: (_: string, all: readonly GaveWay[]) => {
      kept = all;
    },
  };
  const isNew = (minute: number): boolean => {
    const written = stampOf(Date.UTC(2031, 4, 4, 12, minute), 0, "sabc");
    const one = outputGivenWay("attempt", written, `printed at ${minute}`);
    return noteGaveWay(one, { attempts } as unknown as Journal, null);
  };
  const printed = () => kept.map((one) => (one.what === "output" ? one.output : ""));
  expect([isNew(7), isNew(7), isNew(9), isNew(7)]).toEqual([true, false, true, false]);
  expect(printed()).toEqual(["printed at 7", "printed at 9"]);
  for (let more = 0; more < mostGivenWay; more += 1) isNew(20 + more);
  const last = printed();
  expect(last).toEqual(Array.from({ length: mostGivenWay }, (_, more) => `printed at ${20 + more}`));
  expect([isNew(9), isNew(1)]).toEqual([false, false]);
  expect(printed()).toEqual(last);
});

it("takes nothing from an attempt that still runs", () => {
  const attempts = { find: () => ({ outcome: "running" }), gaveWayOf: () => [] };
  const at = { journal: { attempts } as unknown as Journal, now: "2031-05-04T12:00:00.000Z" };
  expect(() => bringGaveWayBack("attempt", "stamp", at)).toThrow("This attempt is still running");
});
