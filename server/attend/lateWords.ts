import type { KernelWords } from "../kernel/kernelWords.ts";
import { newest } from "./load.ts";
import { isRefused, isTaken, type Transport } from "./transport.ts";

/** What the kernel says of errors once a run is over: some of it comes minutes late. */
export type LateWords = Readonly<{
  /** To be called once a second while nothing runs. */
  second(): void;
  /** Adds it to the attempt's output; to be called once the end itself has arrived. */
  deliver(): Promise<void>;
}>;

export type LateWordsOf = Readonly<{
  attemptId: string;
  /** The output as it was told at the end. */
  output: string;
  kernelWords: KernelWords;
  nowS(): number;
  send: Transport;
}>;

const forS = 300;
const everyS = 10;

export function lateWords({ attemptId, output, kernelWords, nowS, send }: LateWordsOf): LateWords {
  const overS = nowS();
  let [askedS, whole, told] = [overS, output, output];
  return {
    second: () => {
      const sinceS = nowS() - overS;
      if (sinceS > forS || nowS() - askedS < everyS) return;
      askedS = nowS();
      for (const line of kernelWords())
        whole = newest(`${whole}\n— ${Math.round(sinceS)} s after its end the kernel said: ${line}`);
    },
    deliver: async () => {
      const wanted = whole;
      if (wanted === told) return;
      const answered = await send({
        method: "PATCH",
        path: `/api/attempts/${attemptId}`,
        body: { output: wanted },
        key: `${attemptId}-late-${wanted.length}`,
      });
      if (isTaken(answered) || isRefused(answered)) told = wanted;
    },
  };
}
