import { describe, expect, it } from "vitest";
import { type Reckon, reckoningsOn } from "../../server/answers/reckoned.ts";

type Begun = Readonly<{ kind: string; request: unknown; demand: Parameters<Reckon>[2] }> & {
  answer(value: unknown): void;
  fail(): void;
};

/** A journal that only counts its commits, and a reckoner whose answers are let go by hand. */
function desk() {
  let [revision, rows] = [1, 1];
  const begun: Begun[] = [];
  const reckonings = reckoningsOn({ revision: () => revision }, (kind, request, demand) => {
    return new Promise((answer, reject) => {
      begun.push({ kind, request, demand, answer, fail: () => reject(new Error("cut short")) });
    });
  });
  return {
    reckonings,
    begun,
    /** What the questions are asked of, as it stands. */
    request: () => ({ rows }),
    /** A row that they rest on. */
    write: () => {
      revision += 1;
      rows += 1;
    },
    /** Something else. */
    writeBeside: () => {
      revision += 1;
    },
  };
}
function leaving() {
  let leave = (): void => undefined;
  const left = new Promise<void>((resolve) => {
    leave = resolve;
  });
  return {
    left,
    leave: () => {
      leave();
      return left;
    },
  };
}
const settled = () => new Promise((resolve) => setImmediate(resolve));

describe("reckonings", () => {
  it("reckon a question once for as long as nothing is written", async () => {
    const { reckonings, begun, write, request } = desk();
    const first = reckonings.now("limit", "a", request);
    const again = reckonings.now("limit", "a", request);
    begun[0]?.answer(7);
    expect([await first, await again, begun.length]).toEqual([7, 7, 1]);
    write();
    reckonings.now("limit", "a", request);
    expect(begun).toHaveLength(2);
  });

  it("show the last answer at once, marked as stale until the new one is there", async () => {
    const { reckonings, begun, write, request } = desk();
    const latest = () => reckonings.latest("limit", "a", request);
    expect(latest()).toBeNull();
    begun[0]?.answer("old");
    await settled();
    expect(latest()).toEqual({ answer: "old", fresh: true });
    write();
    expect(latest()).toEqual({ answer: "old", fresh: false });
    begun[1]?.answer("new");
    await settled();
    expect(latest()).toEqual({ answer: "new", fresh: true });
    expect(begun).toHaveLength(2);
  });

  it("stand where what was written does not touch them", async () => {
    const { reckonings, begun, write, writeBeside, request } = desk();
    const first = reckonings.now("limit", "a", request);
    writeBeside();
    const again = reckonings.now("limit", "a", request);
    begun[0]?.answer(7);
    expect([await first, await again, begun.length]).toEqual([7, 7, 1]);
    writeBeside();
    expect(reckonings.latest("limit", "a", request)).toEqual({ answer: 7, fresh: true });
    write();
    expect(reckonings.latest("limit", "a", request)).toEqual({ answer: 7, fresh: false });
    expect(begun).toHaveLength(2);
  });

  it("tell what is waited for, and what nobody needs since the record moved on", () => {
    const { reckonings, begun, write, request } = desk();
    const demands = () => begun.map(({ demand }) => demand?.());
    reckonings.latest("limit", "shown", request);
    reckonings.latest("limit", "shown, then waited for", request);
    reckonings.now("limit", "shown, then waited for", request);
    expect(demands()).toEqual(["lacking", "awaited"]);
    write();
    reckonings.latest("limit", "shown", request);
    reckonings.latest("limit", "shown, then waited for", request);
    expect(demands()).toEqual(["outdated", "awaited", "lacking", "lacking"]);
  });

  it("let a question go that nobody waits for any longer", async () => {
    const { reckonings, begun, write, request } = desk();
    const demands = () => begun.map(({ demand }) => demand?.());
    const [page, other, next] = [leaving(), leaving(), leaving()];
    reckonings.now("best", "a", request, page.left);
    reckonings.now("best", "a", request, other.left);
    await page.leave();
    expect(demands()).toEqual(["awaited"]);
    await other.leave();
    expect(demands()).toEqual(["lacking"]);
    reckonings.now("best", "a", request, next.left);
    write();
    reckonings.latest("best", "a", request);
    expect(demands()).toEqual(["awaited", "lacking"]);
    await next.leave();
    expect(demands()).toEqual(["outdated", "lacking"]);
  });

  it("tell what a page has nothing to show without from what stands in the place of an answer", async () => {
    const { reckonings, begun, write, request } = desk();
    reckonings.latest("best", "a", request);
    begun[0]?.answer("old");
    await settled();
    write();
    reckonings.latest("best", "a", request);
    reckonings.latest("best", "b", request);
    expect(begun.slice(1).map(({ demand }) => demand?.())).toEqual(["wanted", "lacking"]);
  });

  it("try again after one that failed", async () => {
    const { reckonings, begun, request } = desk();
    const first = reckonings.now("limit", "a", request);
    begun[0]?.fail();
    await expect(first).rejects.toThrow("cut short");
    const second = reckonings.now("limit", "a", request);
    begun[1]?.answer(3);
    expect(await second).toBe(3);
  });

  it("read what rests on much one piece in each turn, after whoever asked was answered", async () => {
    const { reckonings, begun, write, request } = desk();
    const read: string[] = [];
    const rows = Array.from({ length: 300 }, (_, i) => i);
    function* pieces() {
      read.push("first");
      yield;
      read.push("second");
      yield rows;
    }
    function* packed(): Generator<undefined, string> {
      read.push("packed");
      yield;
      return "in short";
    }
    const asked = () => reckonings.inTurn("sharpness", "a", { read: pieces, request, packed });
    expect([asked(), asked(), read, begun.length]).toEqual([null, null, [], 0]);
    await settled();
    expect([read, begun.length]).toEqual([["first"], 0]);
    await settled();
    expect([read, begun.length]).toEqual([["first", "second"], 0]);
    for (let turn = 0; turn < 2; turn += 1) await settled();
    expect([read, begun.length]).toEqual([["first", "second", "packed"], 0]);
    await settled();
    expect([begun.length, begun[0]?.request]).toEqual([1, "in short"]);
    begun[0]?.answer("old");
    await settled();
    expect(asked()).toEqual({ answer: "old", fresh: true });
    write();
    expect(asked()?.answer).toBe("old");
    for (let turn = 0; turn < 5; turn += 1) await settled();
    expect([read.length, begun.length]).toEqual([6, 2]);
  });

  it("look at a question that rests on much once a write, and begin it only where its request came out otherwise", async () => {
    const { reckonings, begun, write, writeBeside, request } = desk();
    let looked = 0;
    function* read(): Generator<undefined> {
      looked += 1;
      yield;
    }
    function* packed(wanted: unknown): Generator<undefined, unknown> {
      yield;
      return wanted;
    }
    const asked = () => reckonings.inTurn("sharpness", "a", { read, request, packed });
    const askedTwice = async () => {
      for (let turn = 0; turn < 8; turn += 1) {
        if (turn === 0 || turn === 5) asked();
        await settled();
      }
      return [looked, begun.length];
    };
    expect(await askedTwice()).toEqual([1, 1]);
    writeBeside();
    expect(await askedTwice()).toEqual([2, 1]);
    write();
    expect(await askedTwice()).toEqual([3, 2]);
  });

  it("leave a question that cannot be read to whoever asks next", async () => {
    const { reckonings, begun, request } = desk();
    const read = () => [][Symbol.iterator]();
    // biome-ignore lint/correctness/useYield: it has nothing to pack
    function* packed(plain: unknown): Generator<undefined, unknown> {
      return plain;
    }
    // biome-ignore lint/correctness/useYield: it breaks before it gives anything
    function* broken(): Generator<readonly unknown[]> {
      throw new Error("The database connection is not open");
    }
    expect(reckonings.inTurn("sharpness", "a", { read: broken, request, packed })).toBeNull();
    reckonings.inTurn("sharpness", "b", { read, request, packed });
    for (let turn = 0; turn < 3; turn += 1) await settled();
    expect(begun).toHaveLength(1);
    reckonings.inTurn("sharpness", "a", { read, request, packed });
    await settled();
    expect(begun).toHaveLength(2);
  });
});
