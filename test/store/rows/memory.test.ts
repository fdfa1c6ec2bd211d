import { describe, expect, it } from "vitest";
import { memoryOf } from "../../../server/store/rows/memory.ts";
import { freshJournal, theInstant } from "../../support/bench.ts";

const kept = { id: "0191c0de-0000-7000-8000-000000000001", createdAt: theInstant, updatedAt: theInstant };
const board = (name: string) => ({
  name,
  formFactor: null,
  corePhases: null,
  phaseRatingA: null,
  supplyTempLimitC: null,
  note: "",
});

function journalWithBoard() {
  const journal = freshJournal();
  journal.writeNow(() => journal.boards.put({ ...kept, version: 1 }, board("Stratus")));
  const rename = (name: string) => journal.boards.replace(kept.id, board(name), theInstant);
  const name = () => journal.boards.find(kept.id)?.name;
  return { journal, rename, name };
}

/** What other connections commit is asked for once a turn. */
const nextTurn = (): Promise<void> => Promise.resolve();

describe("a list kept in memory", () => {
  it("is read once for as long as nothing is written to it", () => {
    const { journal } = journalWithBoard();
    const [found, all] = [journal.boards.find(kept.id), journal.boards.all()];
    journal.writeNow(() => {
      expect(journal.boards.find(kept.id)).toBe(found);
    });
    expect(journal.boards.all()).toBe(all);
  });

  it("shows a change at once, in the same write and after it", () => {
    const { journal, rename, name } = journalWithBoard();
    expect(name()).toBe("Stratus");
    const within = journal.writeNow(() => {
      rename("Cirrus");
      return name();
    });
    expect([within, name(), journal.boards.all()[0]?.name]).toEqual(["Cirrus", "Cirrus", "Cirrus"]);
  });

  it("forgets a change that was undone with its write, also where the next write asks first", () => {
    const { journal, rename, name } = journalWithBoard();
    const undone = () =>
      journal.writeNow(() => {
        rename("Cirrus");
        expect(name()).toBe("Cirrus");
        throw new Error("undone");
      });
    expect(undone).toThrow("undone");
    expect(journal.writeNow(name)).toBe("Stratus");
    expect(name()).toBe("Stratus");
  });

  it("forgets a change that was undone alone among several in one commit", async () => {
    const { journal, rename, name } = journalWithBoard();
    const refused = journal.write(() => {
      rename("Cirrus");
      expect(name()).toBe("Cirrus");
      throw new Error("refused");
    });
    const beside = journal.write(name);
    await expect(refused).rejects.toThrow("refused");
    expect([await beside, name()]).toEqual(["Stratus", "Stratus"]);
  });

  it("shows from the next turn on what another connection to the same file has committed", async () => {
    const { journal, name } = journalWithBoard();
    expect(name()).toBe("Stratus");
    const before = journal.revision();
    const other = freshJournal(journal.file);
    other.writeNow(() => other.boards.replace(kept.id, board("Nimbus"), theInstant));
    await nextTurn();
    expect([name(), journal.revision() > before]).toEqual(["Nimbus", true]);
  });

  it("shows a write what another connection has committed, though the turn began before", () => {
    const { journal, name } = journalWithBoard();
    expect(name()).toBe("Stratus");
    const other = freshJournal(journal.file);
    other.writeNow(() => other.boards.replace(kept.id, board("Nimbus"), theInstant));
    expect(journal.writeNow(name)).toBe("Nimbus");
    expect(name()).toBe("Nimbus");
  });

  it("gives the very same things again where another connection has committed something else", async () => {
    const { journal } = journalWithBoard();
    const [found, all] = [journal.boards.find(kept.id), journal.boards.all()];
    const other = freshJournal(journal.file);
    const second = { ...kept, id: "0191c0de-0000-7000-8000-000000000002", version: 1 };
    other.writeNow(() => other.boards.put(second, board("Nimbus")));
    await nextTurn();
    expect(journal.boards.find(kept.id)).toBe(found);
    expect(journal.boards.all()).not.toBe(all);
    expect(journal.boards.all()).toHaveLength(2);
  });
});

/** A list in parts, of which nothing is being written. */
function listInParts() {
  const writing = { begun: () => 1, committedElsewhere: () => 0 };
  const memory = memoryOf({ inTransaction: false } as never, writing, () => undefined);
  let reads = 0;
  const rowsOf = (part: string, count: number) =>
    memory.recall("rows", () => Array.from({ length: count }, () => (reads += 1)), part);
  const countOf = (part: string, count: number) =>
    memory.tally(part, () => {
      reads += 1;
      return count;
    });
  return { memory, rowsOf, countOf, reads: () => reads };
}

describe("a list kept in memory by parts", () => {
  it("keeps how many rows each of many parts has, until that one is written to", () => {
    const { memory, countOf, reads } = listInParts();
    for (let round = 0; round < 2; round += 1)
      for (let part = 0; part < 2000; part += 1) expect(countOf(`${part}`, part)).toBe(part);
    expect(reads()).toBe(2000);
    memory.forget("7");
    expect([countOf("7", 8), countOf("8", 9), reads()]).toEqual([8, 8, 2001]);
    memory.forget();
    expect([countOf("8", 9), reads()]).toEqual([9, 2002]);
  });

  it("keeps what was asked of the whole list until any part of it is written to", () => {
    const { memory } = listInParts();
    const all = () => memory.recall("all", () => ({}));
    const [before, first, second] = [
      all(),
      memory.recall("rows", () => ({}), "first"),
      memory.recall("rows", () => ({}), "second"),
    ];
    expect(all()).toBe(before);
    memory.forget("first");
    expect(all()).not.toBe(before);
    expect(memory.recall("rows", () => ({}), "first")).not.toBe(first);
    expect(memory.recall("rows", () => ({}), "second")).toBe(second);
  });

  it("counts no rows of answers that went for others of the same part", () => {
    const { memory, rowsOf } = listInParts();
    const first = rowsOf("first", 40_000);
    for (let page = 0; page < 600; page += 1)
      memory.recall(`page ${page}`, () => Array(200).fill(page), "second");
    expect(rowsOf("first", 40_000)).toBe(first);
  });

  it("keeps no more rows than it may, and of many those asked for last", () => {
    const { memory, rowsOf } = listInParts();
    const [first, second] = [rowsOf("first", 60_000), rowsOf("second", 60_000)];
    expect([rowsOf("first", 60_000) === first, rowsOf("second", 60_000) === second]).toEqual([true, true]);
    expect(rowsOf("first", 60_000)).toBe(first);
    const third = rowsOf("third", 60_000);
    expect(rowsOf("first", 60_000)).toBe(first);
    expect(rowsOf("third", 60_000)).toBe(third);
    expect(rowsOf("second", 60_000)).not.toBe(second);
    memory.forget("second");
    expect(rowsOf("third", 60_000)).toBe(third);
    const alone = rowsOf("alone", 200_000);
    expect(rowsOf("alone", 200_000)).toBe(alone);
  });
});

describe("a long list that is read in turns", () => {
  const lineOf = (count: number, changed = -1) =>
    Array.from({ length: count }, (_, i) => ({ place: i, told: i === changed ? "anew" : "as before" }));

  type Line = ReturnType<typeof lineOf>[number];
  const placeOf = ({ place }: Line) => ({ at: place, id: "" });

  function list(held = lineOf(7)) {
    const { journal, rename } = journalWithBoard();
    const commits = { elsewhere: 1 };
    const memory = memoryOf(
      journal.db.$client,
      { begun: () => 1, committedElsewhere: () => commits.elsewhere },
      () => undefined,
    );
    const stand = { rows: held, slices: 0 };
    function* read(beyond: Line | undefined) {
      for (let from = beyond === undefined ? 0 : beyond.place + 1; from < stand.rows.length; from += 3) {
        stand.slices += 1;
        yield stand.rows.slice(from, from + 3).map((row) => ({ ...row }));
      }
    }
    const begin = () => memory.recallInTurn("tried", { read, placeOf }, "a build");
    return { memory, commits, stand, begin, rename };
  }

  function turnsOf<Value>(turns: Generator<undefined, Value>): { value: Value; turns: number } {
    for (let count = 0; ; count += 1) {
      const { done, value } = turns.next();
      if (done) return { value, turns: count };
    }
  }

  it("gives one slice a turn, and at the end what is then remembered for all", () => {
    const { memory, begin, stand } = list();
    const read = turnsOf(begin());
    expect(read).toEqual({ value: lineOf(7), turns: 3 });
    expect(turnsOf(begin())).toEqual({ value: read.value, turns: 0 });
    const again = memory.recallRows("tried", { read: () => [], placeOf }, "a build");
    expect(again).toBe(read.value);
    expect(stand.slices).toBe(3);
  });

  it("is the very same list where another connection left it as it was, and another where a row, or the number, is", () => {
    const { commits, begin, stand } = list();
    const { value } = turnsOf(begin());
    commits.elsewhere += 1;
    expect(turnsOf(begin()).value).toBe(value);
    for (const rows of [lineOf(7, 6), lineOf(7, 0), lineOf(8, 0), lineOf(5, 0)]) {
      stand.rows = rows;
      commits.elsewhere += 1;
      expect(turnsOf(begin()).value).toEqual(rows);
    }
  });

  it.each(["here", "elsewhere"])("begins anew when somebody writes %s between two slices", (where) => {
    const { memory, commits, begin, stand } = list();
    const turns = begin();
    turns.next();
    stand.rows = lineOf(7, 0);
    if (where === "here") memory.forget("a build");
    else commits.elsewhere += 1;
    expect(turnsOf(turns).value).toEqual(lineOf(7, 0));
  });
});
