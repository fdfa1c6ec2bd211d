import { isTaken, type Transport } from "./transport.ts";
import { type Word, wordIn } from "./word.ts";

/** The server of the journal, as far as an attendant hears it. */
export type ServerHeard = Readonly<{
  /** Says that it is here. Gives the word of the server; null where it was not reached, or did not take that. */
  hail(told: unknown): Promise<Word | null>;
  /** By the server's clock, carried on by the machine's own since it was last heard. */
  instant(): string;
}>;

export type ServerHeardOf = Readonly<{
  name: string;
  send: Transport;
  /** Seconds, steadily. */
  nowS(): number;
  /** Takes why the server does not take what it is told; null once it does. */
  remark(words: string | null): void;
}>;

export function serverHeard({ name, send, nowS, remark }: ServerHeardOf): ServerHeard {
  const path = `/api/attendants/${encodeURIComponent(name)}`;
  let heard: Readonly<{ now: string; atS: number }> | null = null;
  return {
    hail: async (told) => {
      const askedS = nowS();
      const answered = await send({ method: "PUT", path, body: told }).catch(() => null);
      if (answered === null) return null;
      if (!isTaken(answered)) {
        remark(answered.body?.error?.message ?? null);
        return null;
      }
      const word = wordIn(answered.body);
      if (word === null) return null;
      remark(null);
      // Half of the way there and back is as near as its clock can be known.
      heard = { now: word.now, atS: (askedS + nowS()) / 2 };
      return word;
    },
    instant: () =>
      heard === null
        ? new Date(0).toISOString()
        : new Date(Date.parse(heard.now) + 1000 * (nowS() - heard.atS)).toISOString(),
  };
}
