import { AsyncLocalStorage } from "node:async_hooks";
import type { FastifyInstance } from "fastify";
import type { Journal } from "../../server/store/file/journal.ts";
import { printOfRows } from "../support/wholePrint.ts";

/** The header by which a request says who it is. */
export const authorHeader = "x-author";

/** Which request changed what is written down, whenever it did: also long after it was answered, or left by its sender. */
export type Authors = Readonly<{
  /** The journal as the server is to have it. */
  journal: Journal;
  /** From now on it is known whose work is whose. */
  follow(app: FastifyInstance): void;
  hasChanged(author: string): boolean;
  /** Whether anything changed past all that anyone wrote, since this was last asked. */
  isUnexplained(): boolean;
}>;

export function authorsOf(plain: Journal): Authors {
  const authors = new AsyncLocalStorage<string | undefined>();
  const changers = new Set<string | undefined>();
  const rowsWritten = plain.db.$client.prepare("SELECT total_changes()").pluck();
  const stateNow = (): string => `${plain.revision()} ${rowsWritten.get()}`;
  let [print, seen] = [printOfRows(plain), stateNow()];

  function note(author: string | undefined): void {
    const now = printOfRows(plain);
    if (now !== print) changers.add(author);
    print = now;
  }

  function noted<Result>(work: () => Result): () => Result {
    const author = authors.getStore();
    return () => {
      const result = work();
      note(author);
      return result;
    };
  }

  const journal: Journal = {
    ...plain,
    write: (work) => plain.write(noted(work)),
    writeNow: (work) => plain.writeNow(noted(work)),
    holdWrites: () => noted(plain.holdWrites()),
  };

  return {
    journal,
    follow: ({ server }) =>
      void server.prependListener("request", ({ headers }) =>
        authors.enterWith(String(headers[authorHeader])),
      ),
    hasChanged: (author) => changers.has(author),
    isUnexplained: () => {
      const state = stateNow();
      if (state === seen) return false;
      seen = state;
      const before = print;
      print = printOfRows(plain);
      return print !== before;
    },
  };
}
