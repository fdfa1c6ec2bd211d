import type { IncomingMessage } from "node:http";

const heads = new WeakSet<IncomingMessage>();

/** Takes a HEAD for a GET whose body is not sent: routes of its own would double what every start has to lay out. */
export function asGet(request: IncomingMessage): void {
  if (request.method !== "HEAD") return;
  heads.add(request);
  request.method = "GET";
}

/** Whether only the head was asked for: what would never end must not begin. */
export const isHead = (request: IncomingMessage): boolean => heads.has(request);
