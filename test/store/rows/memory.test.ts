import { describe, expect, it } from "vitest";
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

  it("shows what another connection to the same file has committed", () => {
    const { journal, name } = journalWithBoard();
    expect(name()).toBe("Stratus");
    const before = journal.revision();
    const other = freshJournal(journal.file);
    other.writeNow(() => other.boards.replace(kept.id, board("Nimbus"), theInstant));
    expect([name(), journal.revision() > before]).toEqual(["Nimbus", true]);
  });
});
