import { get, type IncomingMessage } from "node:http";

/** A change as it was heard: its number among all that were told since the start, and when. */
export type HeardChange = Readonly<{ number: number; kind: string; of: string; atMs: number }>;

/** Null for what carries no change: a breath, or where the stream begins. */
export function changeHeard(id: string, data: string): HeardChange | null {
  const number = Number(/-(\d+)$/.exec(id)?.[1]);
  if (data === "" || !Number.isInteger(number)) return null;
  const { kind, id: of } = JSON.parse(data) as { kind: string; id: string };
  return { number, kind, of, atMs: performance.now() };
}

/** A listener without a browser, written down from the standard; cut off, it comes back and says what it heard last. */
export function listeningAt(url: string): {
  heard: HeardChange[];
  open: Promise<void>;
  close(): void;
} {
  const heard: HeardChange[] = [];
  let [last, isClosed] = ["", false];
  let opened = (): void => undefined;
  const open = new Promise<void>((resolve) => {
    opened = resolve;
  });
  let asked = ask();

  function ask() {
    const headers = last === "" ? {} : { "last-event-id": last };
    const request = get(`${url}/api/events`, { headers }, (answer) => {
      opened();
      listenTo(answer);
    });
    request.on("error", () => undefined);
    request.on("close", () => {
      if (!isClosed) setTimeout(() => (asked = ask()), 1000);
    });
    return request;
  }

  function listenTo(answer: IncomingMessage): void {
    let text = "";
    answer.setEncoding("utf8");
    answer.on("data", (words: string) => {
      const blocks = (text + words).split("\n\n");
      text = blocks.pop() ?? "";
      for (const block of blocks) take(block);
    });
  }

  function take(block: string): void {
    const [, id = ""] = /^id: (.*)$/m.exec(block) ?? [];
    const [, data = ""] = /^data: (.*)$/m.exec(block) ?? [];
    if (id !== "") last = id;
    const change = changeHeard(id, data);
    if (change !== null) heard.push(change);
  }

  return {
    heard,
    open,
    close() {
      isClosed = true;
      asked.destroy();
    },
  };
}
