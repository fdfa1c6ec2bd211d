import type { FastifyInstance, FastifyRequest } from "fastify";
import { Refusal } from "./bench/things/refusal.ts";

export type GuardOptions = Readonly<{
  /** Names and addresses, without a port, by which this server may be called besides the loopback ones. */
  hosts: readonly string[];
  /** Names by which a proxy in front is called, at any port. */
  knownAs: readonly string[];
}>;

const loopback = /^(localhost|127(\.\d{1,3}){3}|\[::1\])$/;

/**
 * A loopback server can be reached from any page that is open on the machine: a foreign Host is a page that has
 * pointed its own name here, a foreign Origin one that posts across. Both are turned away before a body is read.
 */
export function guard(app: FastifyInstance, options: GuardOptions): void {
  app.addHook("onRequest", async (request) => {
    if (hostsNamed(request) !== 1) throw new Refusal("invalid", "A request names the host it is for once.");
    if (!isKnownHost(request, options))
      throw new Refusal("misdirected", "This server does not answer to that host name.");
    if (isForeignWrite(request)) throw new Refusal("forbidden", "A page of another site may not write here.");
    if (isForeignRead(request))
      throw new Refusal("forbidden", "A page of another site may not ask for this.");
  });
}

/** Of several, Node would keep the first, and something in between may have gone by the last. */
const hostsNamed = ({ raw }: FastifyRequest): number =>
  raw.rawHeaders.filter((name, at) => at % 2 === 0 && name.toLowerCase() === "host").length;

/** A loopback name may have any port: a tunnel ends at another than this server's. */
function isKnownHost(request: FastifyRequest, { hosts, knownAs }: GuardOptions): boolean {
  const { host = "" } = request.headers;
  const [, name = "", port] = /^(.*?)(?::(\d{1,5}))?$/.exec(host.toLowerCase()) ?? [];
  if (loopback.test(name) || knownAs.includes(name)) return true;
  const listening = request.socket.localPort;
  return hosts.includes(name) && (listening === undefined || Number(port ?? 80) === listening);
}

function isForeignWrite(request: FastifyRequest): boolean {
  if (request.method === "GET" || request.method === "HEAD") return false;
  const site = request.headers["sec-fetch-site"];
  return hasForeignOrigin(request) || (site !== undefined && site !== "same-origin" && site !== "none");
}

const hasForeignOrigin = ({ headers: { origin, host } }: FastifyRequest): boolean =>
  origin !== undefined && originHost(origin) !== host?.toLowerCase();

/** What works at it whenever it is asked for, or hands over all there is. */
const heavy = /^\/(api|journal)\//;

/**
 * A link from elsewhere may open a page, in a window of its own; anything else that another site asks for is neither
 * shown nor begun. What opens a page by a link names no origin.
 */
function isForeignRead(request: FastifyRequest): boolean {
  if (hasForeignOrigin(request)) return true;
  const { headers, url } = request;
  const site = headers["sec-fetch-site"];
  if (site === undefined || site === "same-origin" || site === "none") return false;
  const opensPage = headers["sec-fetch-mode"] === "navigate" && headers["sec-fetch-dest"] === "document";
  return !opensPage || heavy.test(url);
}

function originHost(origin: string): string | null {
  try {
    return new URL(origin).host;
  } catch {
    return null;
  }
}
