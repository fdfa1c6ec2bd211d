import { randomBytes } from "node:crypto";
import { LRUCache } from "lru-cache";
import { digestOf } from "../bench/things/digest.ts";

/** A device that has given the passphrase. */
export type Session = Readonly<{
  /** Names it to those who look; who holds the secret behind it is let in. */
  id: string;
  since: string;
  seenAt: string;
  address: string;
  /** What the browser says of itself; empty where it says nothing. */
  device: string;
}>;

export type Sessions = Readonly<{
  /** Begins one and gives its secret, which is told once and kept as a hash. */
  begin(from: Pick<Session, "address" | "device">, now: string): string;
  /** The session behind a secret, seen now; undefined for one that was never given or has ended. */
  seen(secret: string, now: string): Session | undefined;
  all(): readonly Session[];
  end(id: string): void;
}>;

/** The one that was not seen for longest goes when another comes. */
const mostSessions = 100;
export const sessionDays = 90;

/** Sessions live as long as this start of the server: a new start asks each device once more. */
export function sessionsKept(): Sessions {
  const kept = new LRUCache<string, Session>({ max: mostSessions });
  return {
    begin(from, now) {
      const secret = randomBytes(32).toString("base64url");
      const id = digestOf(secret);
      kept.set(id, { id, since: now, seenAt: now, ...from });
      return secret;
    },
    seen(secret, now) {
      const session = kept.get(digestOf(secret));
      if (!session) return undefined;
      if (Date.parse(now) - Date.parse(session.since) > sessionDays * 86_400_000) {
        kept.delete(session.id);
        return undefined;
      }
      const again = { ...session, seenAt: now };
      kept.set(session.id, again);
      return again;
    },
    all: () => [...kept.values()],
    end: (id) => void kept.delete(id),
  };
}
