import { Refusal } from "../../bench/things/refusal.ts";

/** What was thrown, as whoever keeps faults reads it: with its place in the program, where it has one. */
export const faultWords = (fault: unknown): string =>
  fault instanceof Error ? (fault.stack ?? fault.message) : String(fault);

/** How a thread that ends says why: a refusal for whoever asked, or a fault. */
export function endTold(thrown: unknown) {
  if (!(thrown instanceof Refusal)) return { kind: "failed", message: faultWords(thrown) } as const;
  const { code, message, fields } = thrown;
  return { kind: "refused", code, message, fields } as const;
}
