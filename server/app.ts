import { constants } from "node:zlib";
import fastifyCompress from "@fastify/compress";
import fastifyHelmet from "@fastify/helmet";
import Fastify, { type FastifyInstance, type FastifyReply, type FastifyRequest } from "fastify";
import { Refusal } from "./bench/things/refusal.ts";
import { readingsFrom, sensorsIn } from "./capture/hwmon.ts";
import { type GuardOptions, guard } from "./guard.ts";
import { registerInterface } from "./interface/interface.ts";
import { errorAnswer, internalRefusal, refusalFrom, statusOf } from "./interface/refusals.ts";
import { type AssetFolders, registerAssets } from "./pages/assets.ts";
import type { PageContext } from "./pages/kit/context.ts";
import { registerPages } from "./pages/pages.ts";
import { refusalPage } from "./pages/refusals.tsx";
import { type PatienceOptions, patience, usualPatience } from "./patience.ts";

export type AppOptions = Omit<PageContext, "sensors"> &
  Readonly<{
    guard: GuardOptions;
    folders: AssetFolders;
    log: boolean;
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
  const context = { ...options, sensors: async () => readingsFrom(await sensorsIn(options.sensorRoot)) };
  const app = Fastify({
    logger: options.log ? { level: "warn", stream: process.stderr } : false,
    bodyLimit: 1 << 20,
    forceCloseConnections: true,
    http: { headersTimeout: 30_000, connectionsCheckingInterval: 5_000 },
    // A HEAD is a GET whose body is not sent: routes of its own would double what every start has to lay out.
    exposeHeadRoutes: false,
    rewriteUrl: (request) => {
      if (request.method === "HEAD") request.method = "GET";
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
  registerInterface(app, options);
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
  if (request.url.startsWith("/api/")) return reply.send(errorAnswer(refusal));
  return reply.type("text/html; charset=utf-8").send(refusalPage(context, refusal));
}
