import { describe, expect, it } from "vitest";
import {
  contextOf,
  deletedStamps,
  earlierEdits,
  earlierStamps,
  editedApart,
  editedStamps,
  havingSeenItself,
  heldApart,
  isDeleted,
  joined,
  latestIn,
  restoredStamps,
  type ThingAccount,
  updatedAtOf,
} from "../../../server/bench/document/account.ts";
import { registerOf } from "../../../server/bench/document/registers.ts";
import { nextStamp, timeOf } from "../../../server/bench/document/stamp.ts";
import { type SeededRandom, seededRandom } from "../../../server/numerics/seededRandom.ts";

const begun = "2031-05-04T12:00:00.000Z";
const later = (minutes: number): string => new Date(Date.parse(begun) + minutes * 60_000).toISOString();

const fresh: ThingAccount = {
  ...{ id: "a", createdAt: begun, version: 1, edits: [] },
  fields: { name: "Tern 8", note: "", axis: "clock", offset: null },
  stamps: { base: begun, fields: {}, seen: {}, deletion: null, blanked: false },
};

function edited(account: ThingAccount, fields: object, writer: string, at: string): ThingAccount {
  const { stamps } = account;
  const stamp = nextStamp(at, latestIn(stamps), writer);
  const changes = Object.fromEntries(
    Object.entries(fields).map(([field, value]) => [field, [account.fields[field], value] as const]),
  );
  const registers = Object.keys(fields).map((field) => registerOf("chips", field));
  return {
    ...account,
    version: account.version + 1,
    fields: { ...account.fields, ...fields },
    stamps: editedStamps(stamps, registers, stamp),
    edits: [...account.edits, { at, changes, stamp, seen: contextOf(stamps) }],
  };
}

function deleted(account: ThingAccount, writer: string, at: string): ThingAccount {
  const stamp = nextStamp(at, latestIn(account.stamps), writer);
  return { ...account, stamps: deletedStamps(account.stamps, stamp, at) };
}

function restored(account: ThingAccount, writer: string): ThingAccount {
  return {
    ...account,
    stamps: restoredStamps(account.stamps, nextStamp(begun, latestIn(account.stamps), writer)),
  };
}

/** Three benches' accounts of one thing after edits, deletions and hearing of one another, on clocks that are off. */
function threeAccounts(random: SeededRandom): [ThingAccount, ThingAccount, ThingAccount] {
  const held: [ThingAccount, ThingAccount, ThingAccount] = [fresh, fresh, fresh];
  for (let step = 0; step < 12; step += 1) {
    const [bench, other] = [random.index(3), random.index(3)];
    const own = held[bench] as ThingAccount;
    const at = later(random.index(3) * 10 + [0, -4000, 9000][bench]!);
    const drawn = random.uniform();
    if (drawn < 0.25) held[bench] = joined("chips", own, held[other] as ThingAccount);
    else if (drawn < 0.4)
      held[bench] = isDeleted(own.stamps) ? restored(own, `s${bench}`) : deleted(own, `s${bench}`, at);
    else if (!isDeleted(own.stamps)) {
      const fields = [{ note: `n${step}` }, { name: `t${step}` }, { axis: "offset", offset: step }][
        random.index(3)
      ]!;
      held[bench] = edited(own, fields, `s${bench}`, at);
    }
  }
  return held;
}

describe("joined(list, here, theirs)", () => {
  it("gives the same in whatever order three accounts are joined, and however often (300 at random)", () => {
    const random = seededRandom(5);
    const both = (one: ThingAccount, other: ThingAccount) => joined("chips", one, other);
    for (let round = 0; round < 300; round += 1) {
      const [a, b, c] = threeAccounts(random);
      expect(both(a, b)).toEqual(both(b, a));
      expect(both(both(a, b), c)).toEqual(both(a, both(b, c)));
      expect(both(both(a, b), b)).toEqual(both(a, b));
      expect(both(a, a)).toEqual(a);
    }
  });

  it("keeps of each field the latest writing, by what was known and not by the clock", () => {
    const ahead = edited(fresh, { note: "a day ahead" }, "s1", later(1440));
    const answered = edited(ahead, { note: "seen, and written over" }, "s2", later(0));
    const both = joined("chips", edited(fresh, { name: "Tern 9" }, "s3", later(5)), answered);
    expect(both.fields).toMatchObject({ note: "seen, and written over", name: "Tern 9" });
    expect([both.version, updatedAtOf(both)]).toEqual([4, later(0)]);
  });

  it("lets fields that belong together stand or fall as one", () => {
    const one = edited(fresh, { axis: "offset", offset: 5 }, "s1", later(1));
    const other = edited(fresh, { axis: "clock" }, "s2", later(2));
    expect(joined("chips", one, other).fields).toMatchObject({ axis: "clock", offset: null });
  });

  it("lets an edit beat a deletion that had not seen it, and a deletion what it had seen", () => {
    const one = edited(fresh, { note: "mine" }, "s1", later(1));
    const unseen = joined("chips", one, deleted(fresh, "s2", later(500)));
    expect(isDeleted(unseen.stamps)).toBe(false);
    const seen = joined("chips", fresh, deleted(one, "s2", later(500)));
    expect([isDeleted(seen.stamps), seen.fields.note]).toEqual([true, "mine"]);
    expect(isDeleted(joined("chips", deleted(unseen, "s3", later(0)), seen).stamps)).toBe(true);
  });

  it("lets what somebody brought back beat another deletion of that time", () => {
    const back = restored(deleted(fresh, "s1", later(1)), "s1");
    expect(isDeleted(joined("chips", back, deleted(fresh, "s2", later(500))).stamps)).toBe(false);
  });

  it("takes the words of what was blanked, whatever was written of it elsewhere", () => {
    const gone = deleted(fresh, "s1", later(1));
    const blank = { ...gone, stamps: { ...gone.stamps, blanked: true } };
    const both = joined("chips", edited(fresh, { note: "private" }, "s2", later(9)), blank);
    expect(both.fields).toMatchObject({ name: "Blanked", note: "" });
    expect(both.edits).toEqual([]);
  });
});

describe("havingSeenItself(account)", () => {
  it("puts the edits in the order they were written, however a document lists them, and has seen each", () => {
    const notes = ["one", "two", "three"];
    const written = notes.reduce(
      (account, note, i) => edited(account, { note }, `s${i}`, later(i + 1)),
      fresh,
    );
    const blind = { ...written.stamps, seen: {} };
    for (const order of [
      [0, 1, 2],
      [2, 1, 0],
      [1, 2, 0],
    ]) {
      const listed = { ...written, stamps: blind, edits: order.map((at) => written.edits[at]!) };
      const taken = havingSeenItself(listed);
      expect(taken.edits.map(({ changes }) => changes.note?.[1])).toEqual(notes);
      expect(updatedAtOf(taken)).toBe(later(3));
      expect(Object.keys(taken.stamps.seen).sort()).toEqual(["s0", "s1", "s2"]);
    }
  });
});

describe("nextStamp(now, known, writer)", () => {
  it("is later than what is known however the clock stands, also where the counter is full", () => {
    const one = nextStamp(begun, "", "s1");
    for (const now of [begun, later(-9000)])
      expect(timeOf(nextStamp(now, timeOf(one), "s1")) > timeOf(one)).toBe(true);
    const full = `${timeOf(one).slice(0, 10)}zzzz`;
    const next = timeOf(nextStamp(begun, full, "s1"));
    expect([next > full, next.length]).toEqual([true, 14]);
  });
});

describe("what was written before there were stamps", () => {
  const history = [
    { at: later(1), changes: { note: ["", "one"] as const } },
    { at: later(1), changes: { note: ["one", "two"] as const } },
    { at: later(3), changes: { name: ["Tern", "Tern 8"] as const } },
  ];
  const stampedFrom = (version: number, edits: typeof history) => {
    const all = earlierEdits(edits);
    return earlierStamps("chips", { id: "a", createdAt: begun, updatedAt: later(3), version }, all, null);
  };

  it("is stamped from its times and its history, the same in two copies of a journal", () => {
    expect(stampedFrom(4, history)).toEqual(stampedFrom(4, structuredClone(history)));
    const { base, fields } = stampedFrom(4, history);
    expect([base, Object.keys(fields)]).toEqual([begun, ["name", "note"]]);
    expect((fields.note as string) < (fields.name as string)).toBe(true);
  });

  it("counts from the last edit where its history is not whole", () => {
    expect(stampedFrom(9, history).base).toBe(later(3));
  });
});

describe("heldApart and editedApart", () => {
  it("tell the fields that were written on two benches apart, and neither what one had seen nor what is the same", () => {
    const one = edited(fresh, { note: "here", name: "same" }, "s1", later(1));
    const other = edited(fresh, { note: "there", name: "same" }, "s2", later(2));
    expect(heldApart("chips", one, other)).toEqual([{ register: "note", kept: "theirs", sameMoment: false }]);
    expect(heldApart("chips", one, edited(one, { note: "on" }, "s2", later(0)))).toEqual([]);
    const unstamped = (version: number, at: string, note: string): ThingAccount => ({
      ...{ ...fresh, version },
      fields: { ...fresh.fields, note },
      stamps: { ...fresh.stamps, base: at },
    });
    const older = unstamped(3, later(1), "here");
    expect(heldApart("chips", older, unstamped(4, later(2), "on"))).toEqual([]);
    expect(heldApart("chips", older, unstamped(3, later(2), "there"))).toHaveLength(1);
    const { edits } = joined("chips", one, other);
    expect(editedApart("chips", edits).size).toBe(2);
    const next = edited(joined("chips", one, other), { note: "both seen" }, "s1", later(3));
    expect(editedApart("chips", next.edits).has(next.edits.at(-1)?.stamp ?? "")).toBe(false);
  });
});
