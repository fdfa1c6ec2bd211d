import { describe, expect, it } from "vitest";
import { type Backup, backupRule, backupsLetGo } from "../../../server/bench/document/backupRule.ts";

const dayMs = 86_400_000;
const now = "2031-05-04T13:42:00.000Z";
const backup = (daysAgo: number, more: Partial<Backup> = {}): Backup => ({
  name: `${daysAgo}`,
  at: new Date(Date.parse(now) - daysAgo * dayMs).toISOString(),
  bytes: 1,
  why: "day",
  ...more,
});
const keptOf = (all: readonly Backup[], rule = backupRule): string[] => {
  const gone = new Set(backupsLetGo(all, now, rule));
  return all.filter((one) => !gone.has(one)).map(({ name }) => name);
};

describe("backupsLetGo(backups, now)", () => {
  it("keeps one of each of seven days, four weeks and twelve months of a year of daily ones", () => {
    const all = Array.from({ length: 500 }, (_, daysAgo) => backup(daysAgo));
    const kept = keptOf(all);
    // 4 May 2031 is a Sunday: its week began on 28 April, and the three before on the 21st, 14th and 7th.
    expect(kept.slice(0, 7)).toEqual(["0", "1", "2", "3", "4", "5", "6"]);
    expect(kept.slice(7, 10)).toEqual(["7", "14", "21"]);
    expect(kept.slice(10)).toEqual(["34", "65", "93", "124", "155", "185", "216", "246", "277", "308"]);
    expect(kept.length).toBeLessThanOrEqual(7 + 4 + 12);
  });

  it("comes to the same when it is asked every day as when it is asked once", () => {
    let held: Backup[] = [];
    for (let day = 200; day >= 0; day--) {
      const then = new Date(Date.parse(now) - day * dayMs).toISOString();
      held.push(backup(day));
      const gone = new Set(backupsLetGo(held, then));
      held = held.filter((one) => !gone.has(one));
    }
    const once = keptOf(Array.from({ length: 201 }, (_, daysAgo) => backup(200 - daysAgo)));
    expect(held.map(({ name }) => name)).toEqual(once);
  });

  it("keeps the newest of a day, and the one before the last update however old", () => {
    const all = [
      backup(0.1),
      backup(0.2),
      backup(800, { name: "update", why: "update" }),
      backup(900, { name: "older update", why: "update" }),
    ];
    expect(keptOf(all)).toEqual(["0.1", "update"]);
  });

  it("lets the oldest go where all together take too much, and the newest never", () => {
    const all = [0, 1, 2, 3].map((daysAgo) => backup(daysAgo, { bytes: 40 }));
    expect(keptOf(all, { ...backupRule, spaceBytes: 100 } as unknown as typeof backupRule)).toEqual([
      "0",
      "1",
    ]);
    expect(keptOf(all, { ...backupRule, spaceBytes: 10 } as unknown as typeof backupRule)).toEqual(["0"]);
  });
});
