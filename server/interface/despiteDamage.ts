import { Readable } from "node:stream";
import type { Rescued } from "../answers/wholeJournal.ts";
import type { Context } from "../requests/context.ts";
import type { Journal } from "../store/file/journal.ts";

type Text = (snapshot: Journal, rescue: (error: unknown) => Promise<Rescued>) => AsyncGenerator<string>;

/**
 * A text of the journal as it stands now; what is written meanwhile is not in it. Where damage is met on the way the
 * text can go on with what can be read.
 */
export function streamedDespiteDamage(
  { journal, files }: Pick<Context, "journal" | "files">,
  text: Text,
): Readable {
  const snapshot = journal.snapshot();
  let close = snapshot.close;
  const rescue = async (error: unknown): Promise<Rescued> => {
    if (journal.refusalOf(error) === null) throw error;
    const rescued = await files.rescued();
    close = () => {
      snapshot.close();
      rescued.close();
    };
    return rescued;
  };
  const stream = Readable.from(text(snapshot, rescue), { objectMode: false });
  return stream.once("close", () => close());
}
