import { STATUS_CODES } from "node:http";
import type { Socket } from "node:net";
import { Refusal } from "./bench/things/refusal.ts";
import { errorAnswer } from "./interface/refusals.ts";

const refusals: Readonly<Record<string, readonly [number, Refusal]>> = {
  ERR_HTTP_REQUEST_TIMEOUT: [408, new Refusal("invalid", "The request took too long to arrive.")],
  HPE_HEADER_OVERFLOW: [431, new Refusal("too-large", "The address or the headers are too long.")],
};
const unreadable = [400, new Refusal("invalid", "This is no request that can be read.")] as const;

/** Answers what cannot even be read as a request, and so reaches no address, in the words of every other refusal. */
export function answerMisread(error: NodeJS.ErrnoException, socket: Socket): void {
  if (error.code === "ECONNRESET" || socket.destroyed) return;
  const known = Object.hasOwn(refusals, error.code ?? "") ? refusals[error.code ?? ""] : undefined;
  const [status, refusal] = known ?? unreadable;
  const body = JSON.stringify(errorAnswer(refusal));
  const head = [
    `HTTP/1.1 ${status} ${STATUS_CODES[status]}`,
    "content-type: application/json; charset=utf-8",
    `content-length: ${Buffer.byteLength(body)}`,
    "connection: close",
  ];
  if (socket.writable) socket.write(`${head.join("\r\n")}\r\n\r\n${body}`);
  socket.destroySoon();
}
