import { Refusal } from "../../server/bench/things/refusal.ts";
import { shortPrint } from "./shortPrint.ts";
import { toldOf } from "./told.ts";

/** Answers in the order they were asked for, each behind its question. */
export function telling() {
  const lines: string[] = [];
  return {
    tell(asked: string, answer: () => unknown): void {
      const told = toldOf(orRefused(answer));
      lines.push(told.includes("\n") ? `${asked}:\n${told.replace(/^(?=.)/gm, "  ")}` : `${asked}: ${told}`);
    },
    told: (): string => numbered(lines.join("\n")),
  };
}

const anId = /[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[0-9a-f]{4}-[0-9a-f]{12}/g;

/** Ids give way to the order in which they turn up. */
function numbered(text: string): string {
  const known = new Map<string, number>();
  return text.replace(anId, (id) => {
    if (!known.has(id)) known.set(id, known.size + 1);
    return `<${known.get(id)}>`;
  });
}

/** Our own sentences are told; of the words of others, which change with their versions, the kind of fault alone. */
function orRefused(answer: () => unknown): unknown {
  try {
    return answer();
  } catch (error) {
    if (error instanceof Refusal)
      return `refused: ${[error.message, ...Object.values(error.fields)].join(" | ")}`;
    const { name, message } = error as Error;
    return ownWords.some((words) => message.startsWith(words)) ? `fault: ${message}` : `fault: ${name}`;
  }
}

const ownWords = ["A stored ", "A chunk holds", "Only the last chunk", "A build has no mount"];

/** Of bytes, or of values by their bits, one after another. */
export const printOf = (...all: readonly (Uint8Array | Float64Array | Uint32Array)[]): string =>
  shortPrint(10, ...all);
