import { createHmac, randomBytes, scrypt, timingSafeEqual } from "node:crypto";
import { promisify } from "node:util";
import fastifyCookie from "@fastify/cookie";
import fastifyRateLimit from "@fastify/rate-limit";
import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import { LRUCache } from "lru-cache";
import { Refusal } from "./bench/things/refusal.ts";
import type { Admission } from "./requests/admission.ts";
import { sessionDays, sessionsKept } from "./requests/sessions.ts";

const hashed = promisify<string, Buffer, number, Buffer>(scrypt);

/** Of one address; whoever knows the passphrase needs one. */
const guessesAMinute = 10;

/** What a browser needs before it has been let in: the look of the page that asks. */
const isOpen = ({ url }: FastifyRequest): boolean => url.startsWith("/web/") || /^\/sign-in(\?|$)/.test(url);

/**
 * Who may come in from other devices: browsers by a session, begun with the passphrase, scripts by Basic (RFC 7617).
 * The passphrase is checked slowly (scrypt, RFC 7914) and seldom: what was found right is remembered by a keyed hash.
 */
export async function admission(
  app: FastifyInstance,
  { passphrase, now }: Readonly<{ passphrase: string; now(): string }>,
): Promise<Admission> {
  await app.register(fastifyCookie);
  await app.register(fastifyRateLimit, { global: false });
  const guesses = app.createRateLimit({ max: guessesAMinute, timeWindow: 60_000 });
  const sessions = sessionsKept();
  const salt = randomBytes(16);
  const right = hashed(passphrase, salt, 32);
  const key = randomBytes(32);
  const known = new LRUCache<string, true>({ max: 100 });
  const keyed = (words: string): string => createHmac("sha256", key).update(words).digest("base64url");

  async function isRight(request: FastifyRequest, words: string): Promise<boolean> {
    const print = keyed(words);
    if (known.has(print)) return true;
    const limit = await guesses(request);
    if (!limit.isAllowed && limit.isExceeded)
      throw new Refusal(
        "forbidden",
        `Too many wrong passphrases from your address; try again in ${limit.ttlInSeconds} seconds.`,
        {},
        { unauthorized: true },
      );
    const isSame = timingSafeEqual(await hashed(words, salt, 32), await right);
    if (isSame) known.set(print, true);
    return isSame;
  }

  const sessionOf = (request: FastifyRequest) => {
    const secret = request.cookies[cookieOf(request)];
    return secret === undefined ? undefined : sessions.seen(secret, now());
  };

  app.addHook("onRequest", async (request) => {
    if (isOpen(request) || sessionOf(request)) return;
    const words = basicWords(request);
    if (words !== null && (await isRight(request, words))) return;
    throw new Refusal("forbidden", "This server asks for its passphrase.", {}, { unauthorized: true });
  });

  return {
    sessions,
    sessionOf: (request) => sessionOf(request)?.id ?? null,
    async signIn(request, reply, words) {
      if (!(await isRight(request, words)))
        throw new Refusal("invalid", "This is not the passphrase.", { passphrase: "Not the passphrase." });
      const device = (request.headers["user-agent"] ?? "").slice(0, 200);
      const secret = sessions.begin({ address: request.ip, device }, now());
      keepSecret(request, reply, secret);
    },
  };
}

/** Servers on other ports of the same machine have cookies of their own. */
const cookieOf = ({ socket }: FastifyRequest): string => `rungbook-${socket.localPort ?? 0}`;

function keepSecret(request: FastifyRequest, reply: FastifyReply, secret: string): void {
  reply.setCookie(cookieOf(request), secret, {
    path: "/",
    httpOnly: true,
    sameSite: "strict",
    secure: request.headers["x-forwarded-proto"] === "https",
    maxAge: sessionDays * 86_400,
  });
}

/** What stands for the passphrase in an Authorization header; any user name will do. Null where there is none. */
function basicWords({ headers }: FastifyRequest): string | null {
  const [scheme = "", credentials = ""] = (headers.authorization ?? "").split(" ");
  if (scheme.toLowerCase() !== "basic") return null;
  return Buffer.from(credentials, "base64")
    .toString()
    .replace(/^[^:]*:/, "");
}
