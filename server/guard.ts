import { createHash, timingSafeEqual } from "node:crypto";
import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import { Refusal } from "./bench/things/refusal.ts";

export type GuardOptions = Readonly<{
  /** Names and addresses, without a port, by which this server may be called besides the loopback ones. */
  hosts: readonly string[];
  /** Null where only this machine can reach the server. */
  passphrase: string | null;
}>;

const loopback = /^(localhost|127(\.\d{1,3}){3}|\[::1\])$/;

/**
 * A loopback server can be reached from any page that is open on the machine: a foreign Host is a page that has
 * pointed its own name here, a foreign Origin one that posts across. Both are turned away before a body is read.
 */
export function guard(app: FastifyInstance, options: GuardOptions): void {
  app.addHook("onRequest", async (request, reply) => {
    if (!isKnownHost(request, options.hosts))
      throw new Refusal("misdirected", "This server does not answer to that host name.");
    if (isForeignWrite(request)) throw new Refusal("forbidden", "A page of another site may not write here.");
    if (options.passphrase !== null) await assertPassphrase(request, reply, options.passphrase);
  });
}

function isKnownHost(request: FastifyRequest, hosts: readonly string[]): boolean {
  const host = request.headers.host ?? request.headers[":authority"];
  if (typeof host !== "string") return false;
  const [, name = "", port] = /^(.*?)(?::(\d+))?$/.exec(host.toLowerCase()) ?? [];
  const listening = request.socket.localPort;
  if (listening !== undefined && Number(port ?? 80) !== listening) return false;
  return loopback.test(name) || hosts.includes(name);
}

function isForeignWrite(request: FastifyRequest): boolean {
  if (request.method === "GET" || request.method === "HEAD") return false;
  const site = request.headers["sec-fetch-site"];
  if (site !== undefined && site !== "same-origin" && site !== "none") return true;
  const { origin } = request.headers;
  return origin !== undefined && originHost(origin) !== request.headers.host?.toLowerCase();
}

function originHost(origin: string): string | null {
  try {
    return new URL(origin).host;
  } catch {
    return null;
  }
}

async function assertPassphrase(
  request: FastifyRequest,
  reply: FastifyReply,
  passphrase: string,
): Promise<void> {
  const [scheme, credentials = ""] = (request.headers.authorization ?? "").split(" ");
  const given = Buffer.from(credentials, "base64")
    .toString()
    .replace(/^[^:]*:/, "");
  const digest = (words: string) => createHash("sha256").update(words).digest();
  if (scheme === "Basic" && timingSafeEqual(digest(given), digest(passphrase))) return;
  reply.header("www-authenticate", 'Basic realm="Rungbook", charset="UTF-8"');
  throw new Refusal("forbidden", "This server asks for its passphrase.", {}, { unauthorized: true });
}
