import http from "node:http";
import https from "node:https";
import type { Answered, Sending, Transport } from "./transport.ts";

export type HttpTransportOf = Readonly<{
  server: URL;
  passphrase: string | null;
  /** Told once of each kind of trouble, until it has passed. */
  complain(words: string): void;
}>;

const patienceMs = 5000;
const mostBytes = 1 << 20;

/** Over one connection that is kept. Where the server sends elsewhere, nobody goes there: neither what is told nor the passphrase. */
export function httpTransport({ server, passphrase, complain }: HttpTransportOf): Transport {
  const kind = server.protocol === "https:" ? https : http;
  const agent = new kind.Agent({ keepAlive: true, maxSockets: 2 });
  const authorization =
    passphrase === null
      ? {}
      : { authorization: `Basic ${Buffer.from(`attendant:${passphrase}`).toString("base64")}` };
  let said: string | null = null;
  const sayOnce = (words: string | null): void => {
    if (words !== null && words !== said) complain(words);
    said = words;
  };
  return async (sent) => {
    try {
      const answered = await ask(
        kind,
        new URL(sent.path, server),
        { agent, headers: headersOf(sent, authorization) },
        sent,
      );
      sayOnce(troubleIn(answered, server));
      return answered;
    } catch (error) {
      sayOnce(
        `${server.origin} cannot be reached (${(error as NodeJS.ErrnoException).code ?? (error as Error).message}).`,
      );
      throw error;
    }
  };
}

const bodyOf = ({ body, lines }: Sending): string | null =>
  lines !== undefined
    ? lines.map((line) => `${JSON.stringify(line)}\n`).join("")
    : body === undefined
      ? null
      : JSON.stringify(body);

function headersOf(sent: Sending, authorization: object): Record<string, string | number> {
  const body = bodyOf(sent);
  return {
    ...authorization,
    accept: "application/json",
    ...(body !== null && {
      "content-type": sent.lines === undefined ? "application/json" : "application/x-ndjson",
      "content-length": Buffer.byteLength(body),
    }),
    ...(sent.key !== undefined && { "idempotency-key": sent.key }),
  };
}

const ask = (
  kind: typeof http | typeof https,
  url: URL,
  options: http.RequestOptions,
  sent: Sending,
): Promise<Answered> =>
  new Promise((resolve, reject) => {
    const request = kind.request(url, { ...options, method: sent.method, timeout: patienceMs }, (reply) => {
      let text = "";
      reply.setEncoding("utf8");
      reply.on("data", (piece: string) => {
        text += piece;
        if (text.length > mostBytes) request.destroy(new Error("It answers more than can be meant."));
      });
      reply.on("end", () => resolve({ status: reply.statusCode ?? 0, body: jsonIn(text) }));
      reply.on("error", reject);
    });
    request.on("timeout", () => request.destroy(new Error("It does not answer in time.")));
    request.on("error", reject);
    request.end(bodyOf(sent) ?? undefined);
  });

function jsonIn(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

function troubleIn({ status, body }: Answered, server: URL): string | null {
  if (status >= 300 && status < 400)
    return `${server.origin} sends elsewhere (${status}); that is not followed.`;
  if (status === 401) return `${server.origin} asks for its passphrase: give --passphrase-file.`;
  if (status >= 500 || status === 421 || status === 403)
    return `${server.origin} answers ${status}${body?.error?.message ? `: ${body.error.message}` : ""}.`;
  return null;
}
