import { expect, it } from "vitest";
import { readingFault } from "./mutatedLogs.ts";
import { readLog } from "./readLog.ts";

it("a spoiled log gives sound rows or a refusal, never a fault", async () => {
  const faults: string[] = [];
  let read = 0;
  for (let seed = 1; seed <= 3000; seed += 1) {
    const fault = await readingFault(seed, async (log, pieceBytes) => {
      const rows = await readLog(log, { pieceBytes });
      read += 1;
      return rows;
    });
    if (fault !== undefined) faults.push(`${seed}: ${fault}`);
  }
  expect(faults).toEqual([]);
  expect(read).toBeGreaterThan(1200);
});
