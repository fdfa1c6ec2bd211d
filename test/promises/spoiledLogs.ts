import { readingFault } from "../csv/mutatedLogs.ts";
import { readLog } from "../csv/readLog.ts";

export const promises = [
  {
    name: "50,000 spoiled logs give sound rows or a refusal, never a fault",
    async run(): Promise<{ kept: boolean; found: string }> {
      const faults: string[] = [];
      let read = 0;
      for (let seed = 1; seed <= 50_000; seed += 1) {
        const fault = await readingFault(seed, async (log, pieceBytes) => {
          const rows = await readLog(log, { pieceBytes });
          read += 1;
          return rows;
        });
        if (fault !== undefined) faults.push(`seed ${seed}: ${fault}`);
      }
      const found = `${read} read, ${50_000 - read - faults.length} refused, ${faults.length} faults ${faults[0] ?? ""}`;
      return { kept: faults.length === 0 && read > 20_000, found };
    },
  },
];
