import { constants } from "node:zlib";
import fastifyCompress from "@fastify/compress";
import fastifyHelmet from "@fastify/helmet";
import Fastify, { type FastifyInstance, type FastifyReply, type FastifyRequest } from "fastify";
import { admission } from "./admission.ts";
import { type Attendants, attendants } from "./answers/attendants.ts";
import { Refusal } from "./bench/things/refusal.ts";
import { type GuardOptions, guard } from "./guard.ts";
import { registerInterface } from "./interface/interface.ts";
import { errorAnswer, internalRefusal, refusalFrom, statusOf } from "./interface/refusals.ts";
import { readingsFrom, sensorsIn } from "./kernel/hwmon.ts";
import { answerMisread } from "./misread.ts";
import { type AssetFolders, registerAssets } from "./pages/assets.ts";
import type { PageContext } from "./pages/kit/context.ts";
import { registerPages } from "./pages/pages.ts";
import { refusalPage } from "./pages/refusals.tsx";
import { signInPage } from "./pages/signIn/view.tsx";
import { type PatienceOptions, patience, usualPatience } from "./patience.ts";
import { changeFeedOf } from "./requests/changeFeed.ts";
import { asGet } from "./requests/heads.ts";

export type AppOptions = Omit<PageContext, "sensors" | "attendants" | "admission" | "feed"> &
  Readonly<{
    guard: GuardOptions;
    /** What other devices must know; null where only this machine can reach the server. */
    passphrase: string | null;
    folders: AssetFolders;
    log: boolean;
    /** Who attends which build, where somebody else asks too. */
    attendants?: Attendants;
    /** How long it waits for whoever sends, if not as usual. */
    patience?: PatienceOptions;
    /** Where the kernel shows the machine's sensors, if not in the usual place. */
    sensorRoot?: string;
  }>;

const ownOnly = ["'self'"];
const policy = {
  defaultSrc: ["'none'"],
  scriptSrc: ownOnly,
  styleSrc: ownOnly,
  imgSrc: ["'self'", "data:", "blob:"],
  connectSrc: ownOnly,
  formAction: ownOnly,
  baseUri: ["'none'"],
  frameAncestors: ["'none'"],
};

/** The server on an open journal and a clock; it listens to nothing yet. */
export async function buildApp(options: AppOptions): Promise<FastifyInstance> {
  const app = Fastify({
    logger: options.log ? { level: "warn", stream: process.stderr } : false,
    bodyLimit: 1 << 20,
    forceCloseConnections: true,
    clientErrorHandler: answerMisread,
    http: { headersTimeout: 30_000, connectionsCheckingInterval: 5_000 },
    exposeHeadRoutes: false,
    rewriteUrl: (request) => {
      asGet(request);
      return request.url ?? "/";
    },
    // Every address reads its own input, with words for a person, so no schema is ever compiled.
    schemaController: {
      compilersFactory: {
        buildValidator: (() => () => () => true) as never,
        buildSerializer: () => () => JSON.stringify,
      },
    },
    routerOptions: { maxParamLength: 200 },
    frameworkErrors: (error, request, reply) => {
      answerRefusal(error, request, reply, context);
    },
  });
  app.setErrorHandler((error, request, reply) => answerRefusal(error, request, reply, context));
  app.setNotFoundHandler((request, reply) =>
    answerRefusal(new Refusal("missing", "There is nothing at this address."), request, reply, context),
  );
  guard(app, options.guard);
  const { passphrase, now, journal } = options;
  const context: PageContext = {
    ...options,
    feed: changeFeedOf(journal, journal.newId(now())),
    attendants: options.attendants ?? attendants(),
    admission: passphrase === null ? null : await admission(app, { passphrase, now }),
    sensors: async () => readingsFrom(await sensorsIn(options.sensorRoot)),
  };
  app.addHook("preClose", async () => context.feed.close());
  patience(app, options.patience ?? usualPatience);
  await app.register(fastifyHelmet, {
    contentSecurityPolicy: { useDefaults: false, directives: policy },
    crossOriginEmbedderPolicy: false,
    hsts: false,
  });
  await app.register(fastifyCompress, {
    threshold: 1400,
    encodings: ["br", "gzip"],
    brotliOptions: { params: { [constants.BROTLI_PARAM_QUALITY]: 4 } },
  });
  takeEmptyJson(app);
  await registerAssets(app, options.folders);
  registerInterface(app, context);
  await app.register((pages) => registerPages(pages, context));
  return app;
}

/** A request that says it is JSON and sends nothing has no body, as with the PUTs and DELETEs that need none. */
function takeEmptyJson(app: FastifyInstance): void {
  const parse = app.getDefaultJsonParser("error", "error");
  app.addContentTypeParser("application/json", { parseAs: "string" }, (request, body, done) => {
    if (body === "") done(null, undefined);
    else parse(request, body as string, done);
  });
}

/** The one place where a refusal becomes an answer: words for a person on a page, a code for a script. */
function answerRefusal(error: unknown, request: FastifyRequest, reply: FastifyReply, context: PageContext) {
  const refusal = refusalFrom(error) ?? context.journal.refusalOf(error) ?? internalRefusal;
  if (refusal.code === "internal") request.log.error(error);
  reply.code(refusal.extra.unauthorized ? 401 : statusOf(refusal));
  if (request.url.startsWith("/api/")) {
    if (refusal.extra.unauthorized)
      reply.header("www-authenticate", 'Basic realm="Rungbook", charset="UTF-8"');
    return reply.send(errorAnswer(refusal));
  }
  return reply
    .type("text/html; charset=utf-8")
    .send(
      refusal.extra.unauthorized
        ? signInPage(context, request.method === "GET" ? { to: request.url } : { to: "/", isLost: true })
        : refusalPage(context, refusal),
    );
}
