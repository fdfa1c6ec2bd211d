import fastifyFormbody from "@fastify/formbody";
import type { FastifyInstance } from "fastify";
import type { PageContext } from "./context.ts";

/** Every page a person can visit; one line each. */
export async function registerPages(app: FastifyInstance, context: PageContext): Promise<void> {
  await app.register(fastifyFormbody);
  void context;
}
