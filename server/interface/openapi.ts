import fastifySwagger from "@fastify/swagger";
import Fastify, { type FastifyInstance } from "fastify";
import { jsonSchemaTransform } from "fastify-type-provider-zod";

/** The interface described from the schemas that check its input. The addresses are registered once more, on a server that never listens. */
export async function openApiOf(
  register: (app: FastifyInstance) => void,
  version: string,
): Promise<Record<string, unknown>> {
  const app = Fastify();
  app.setValidatorCompiler(() => () => true);
  app.setSerializerCompiler(() => JSON.stringify);
  await app.register(fastifySwagger, {
    openapi: { openapi: "3.1.0", info: { title: "Rungbook", version } },
    transform: jsonSchemaTransform,
  });
  register(app);
  await app.ready();
  const described = app.swagger() as unknown as Record<string, unknown>;
  await app.close();
  return described;
}
