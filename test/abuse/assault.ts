import http from "node:http";
import type { AddressInfo } from "node:net";
import { Worker } from "node:worker_threads";
import type { TestServer } from "../support/bench.ts";
import { filesBeside } from "../support/wholePrint.ts";
import { type Authors, authorHeader } from "./authors.ts";

export type Attack = Readonly<{
  method: string;
  url: string;
  /** Names and values in turn, so that one can come twice. */
  headers: readonly string[];
  body: Buffer | null;
  /** The sender goes away after so many bytes of the body. */
  goneAfter?: number;
}>;

type Heard = Readonly<{ status: number; isJson: boolean; text: string; tookMs: number }>;

export type Assault = Readonly<{
  /** Sends it, and says what was wrong with how it was met; null where nothing was. */
  met(attack: Attack): Promise<string | null>;
  counts: Map<number, number>;
}>;

/** How long an answer may take, and how long it is waited for. */
const usualPatience = { hangMs: 2000, unansweredMs: 20_000 } as const;
/** Making a key of words is slow on purpose, so that guessing is: a second alone on an idle machine. */
const lockingMs = 15_000;
const isLocking = ({ url }: Attack): boolean => url.startsWith("/journal/locked-backup");

/** Sends one request after the other to a listening server and looks at what each left behind. */
export function assaultOn(
  server: TestServer,
  authors: Authors,
  { hangMs, unansweredMs }: Readonly<Record<keyof typeof usualPatience, number>> = usualPatience,
): Assault {
  const { port } = server.app.server.address() as AddressInfo;
  const agent = new http.Agent({ keepAlive: true, maxSockets: 1 });
  const counts = new Map<number, number>();
  let sent = 0;
  authors.follow(server.app);

  /** What earlier requests still do may bring a file or take one; what a refusal leaves comes with every repeat. */
  async function movesFiles(attack: Attack, before: readonly string[]): Promise<boolean> {
    for (let was = before, times = 0; times < 4; times++) {
      const now = filesBeside(server.journal);
      if (String(now) === String(was)) return false;
      was = now;
      await answerTo(attack, port, agent, unansweredMs);
    }
    return true;
  }

  async function changeBy(attack: Attack, author: string, before: readonly string[]): Promise<string | null> {
    if (authors.hasChanged(author)) return "changed something";
    if (authors.isUnexplained()) return "changed something past the journal's own writing";
    return (await movesFiles(attack, before)) ? "brought or took a file" : null;
  }

  async function met(plain: Attack): Promise<string | null> {
    const author = String(++sent);
    const attack = { ...plain, headers: [authorHeader, author, ...plain.headers] };
    const before = filesBeside(server.journal);
    let most = isLocking(attack) ? lockingMs : hangMs;
    let heard = await answerTo(attack, port, agent, unansweredMs);
    if (tookTooLong(attack, heard, most)) {
      most = Math.max(most, 30 * (await threadBeginsMs()));
      heard = await answerTo(attack, port, agent, Math.max(unansweredMs, most));
    }
    const status = heard?.status ?? 0;
    counts.set(status, (counts.get(status) ?? 0) + 1);
    const fault = faultIn(attack, heard, most);
    if (fault !== null) return fault;
    const change = status >= 400 ? await changeBy(attack, author, before) : null;
    return change && `${change} and answered ${status}`;
  }

  return { met, counts };
}

const tookTooLong = ({ goneAfter }: Attack, heard: Heard | null, longestMs: number): boolean =>
  heard === null ? goneAfter === undefined : heard.tookMs > longestMs;

/** How long this machine takes just now to begin a thread that does nothing: an import has to begin one. */
function threadBeginsMs(): Promise<number> {
  const startedAt = performance.now();
  const thread = new Worker("", { eval: true });
  return new Promise((resolve) => {
    thread.once("exit", () => resolve(performance.now() - startedAt));
  });
}

function faultIn({ url, goneAfter }: Attack, heard: Heard | null, longestMs: number): string | null {
  if (heard === null) return goneAfter === undefined ? "no answer" : null;
  if (heard.status >= 500) return `answered ${heard.status}: ${heard.text.slice(0, 300)}`;
  if (heard.tookMs > longestMs) return `took ${Math.round(heard.tookMs)} ms, twice`;
  if (heard.status < 400 || !url.startsWith("/api/") || !heard.isJson) return null;
  const { error } = JSON.parse(heard.text);
  return typeof error?.code === "string" && error.message?.length > 8 ? null : `refused without a sentence`;
}

/** Null where none came; a connection that was let go of between two requests is opened anew. */
function answerTo(attack: Attack, port: number, agent: http.Agent, givenUpMs: number): Promise<Heard | null> {
  return new Promise((resolve) => {
    const startedAt = performance.now();
    const request = http.request({
      ...{ host: "127.0.0.1", port, agent, method: attack.method, path: attack.url },
      headers: ["host", `127.0.0.1:${port}`, ...lengthOf(attack), ...attack.headers],
    });
    const patience = setTimeout(() => request.destroy(), givenUpMs);
    const done = (heard: Heard | null): void => {
      clearTimeout(patience);
      resolve(heard);
    };
    request.once("error", (error: NodeJS.ErrnoException) => {
      if (request.reusedSocket && error.code === "ECONNRESET" && attack.goneAfter === undefined)
        answerTo(attack, port, agent, givenUpMs).then(done);
      else done(null);
    });
    request.once("response", (response) => {
      const pieces: Buffer[] = [];
      // A stream of events goes on for ever: that it began is answer enough.
      if (response.headers["content-type"]?.startsWith("text/event-stream")) response.destroy();
      response.on("data", (piece: Buffer) => pieces.push(piece));
      response.once("close", () =>
        done({
          status: response.statusCode ?? 0,
          isJson: isPlainJson(response.headers),
          text: Buffer.concat(pieces).toString(),
          tookMs: performance.now() - startedAt,
        }),
      );
    });
    sendBody(request, attack);
  });
}

const isPlainJson = (headers: http.IncomingHttpHeaders): boolean =>
  (headers["content-type"] ?? "").includes("json") && headers["content-encoding"] === undefined;

const lengthOf = ({ body, headers }: Attack): string[] =>
  body === null || headers.includes("transfer-encoding") ? [] : ["content-length", String(body.length)];

function sendBody(request: http.ClientRequest, { body, goneAfter }: Attack): void {
  if (body === null) request.end();
  else if (goneAfter === undefined) request.end(body);
  else request.write(body.subarray(0, goneAfter), () => setTimeout(() => request.destroy(), 2));
}
