import type { MessagePort } from "node:worker_threads";

type Message = Readonly<{ kind: string }>;
type BytesMessage = Readonly<{ kind: "bytes"; bytes: Uint8Array }> | Readonly<{ kind: "end" }>;

export type Inbox<Sent extends Message> = Readonly<{
  /** The first message of a kind that waits, or that comes. */
  next<Kind extends Sent["kind"]>(kind: Kind): Promise<Extract<Sent, { kind: Kind }>>;
  /** What is sent in buffers, a few of them asked for ahead. */
  bytes(): AsyncGenerator<Buffer>;
  /** Aborted once the thread has been told to stop. */
  signal: AbortSignal;
}>;

const ahead = 4;

/** What a thread is sent, taken in the order it is wanted. */
export function inboxOf<Sent extends Message>(port: MessagePort): Inbox<Sent> {
  const stop = new AbortController();
  const waiting: Message[] = [];
  let wake: (() => void) | undefined;
  port.on("message", (message: Message) => {
    if (message.kind === "stop") stop.abort();
    waiting.push(message);
    wake?.();
  });

  async function first(kinds: readonly string[]): Promise<Message> {
    for (;;) {
      stop.signal.throwIfAborted();
      const at = waiting.findIndex(({ kind }) => kinds.includes(kind));
      const [found] = at < 0 ? [] : waiting.splice(at, 1);
      if (found) return found;
      await new Promise<void>((woken) => {
        wake = woken;
      });
    }
  }

  async function* bytes(): AsyncGenerator<Buffer> {
    const more = (): void => port.postMessage({ kind: "more" });
    for (let asked = 0; asked < ahead; asked += 1) more();
    for (;;) {
      const message = (await first(["bytes", "end"])) as BytesMessage;
      if (message.kind === "end") return;
      more();
      const { buffer, byteOffset, byteLength } = message.bytes;
      yield Buffer.from(buffer, byteOffset, byteLength);
    }
  }

  return {
    next: async <Kind extends Sent["kind"]>(kind: Kind) =>
      (await first([kind])) as Extract<Sent, { kind: Kind }>,
    bytes,
    signal: stop.signal,
  };
}
