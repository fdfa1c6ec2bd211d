import { expect, it } from "vitest";
import { testServer } from "../support/bench.ts";

type Schema = Readonly<Record<string, unknown>>;

/** A schema as one line: its kinds, its bounds, its words, and what it is made of. */
function inLine(schema: unknown): string {
  if (Array.isArray(schema)) return schema.map(inLine).join(" | ");
  if (typeof schema !== "object" || schema === null) return JSON.stringify(schema) ?? "";
  const { type, properties, required = [], items, anyOf, additionalProperties, ...bounds } = schema as Schema;
  const fields = Object.entries((properties ?? {}) as Schema).map(
    ([name, of]) => `${name}${(required as string[]).includes(name) ? "" : "?"}: ${inLine(of)}`,
  );
  const parts = [
    type === undefined || type === "object" ? "" : JSON.stringify(type).replaceAll('"', ""),
    fields.length > 0 ? `{ ${fields.join("; ")} }` : "",
    items === undefined ? "" : `[${inLine(items)}]`,
    anyOf === undefined ? "" : `(${inLine(anyOf)})`,
    typeof additionalProperties === "object" ? `each ${inLine(additionalProperties)}` : "",
    Object.entries(bounds)
      .map(([name, value]) => `${name} ${JSON.stringify(value)}`)
      .join(" "),
  ];
  return parts.filter((part) => part !== "").join(" ");
}

it("what every address of the interface takes, and within which bounds, is what it was", async () => {
  const server = await testServer();
  const { body } = await server.send("GET", "/api/openapi.json");
  const lines = Object.entries(body.paths as Readonly<Record<string, Schema>>).flatMap(([path, methods]) =>
    Object.entries(methods).flatMap(([method, operation]) => {
      const { parameters = [], requestBody } = operation as Readonly<{
        parameters?: readonly Readonly<{ name: string; in: string; required?: boolean; schema: Schema }>[];
        requestBody?: Readonly<{ content: Readonly<Record<string, Readonly<{ schema: Schema }>>> }>;
      }>;
      return [
        `${method.toUpperCase()} ${path}`,
        ...parameters
          .filter((one) => one.in !== "path")
          .map((one) => `  ${one.in} ${one.name}${one.required ? "" : "?"}: ${inLine(one.schema)}`),
        ...Object.entries(requestBody?.content ?? {}).flatMap(([kind, { schema }]) =>
          Object.entries((schema?.properties ?? {}) as Schema).length > 0
            ? Object.entries(schema.properties as Schema).map(
                ([name, of]) =>
                  `  ${name}${((schema.required ?? []) as string[]).includes(name) ? "" : "?"}: ${inLine(of)}`,
              )
            : [`  ${kind}: ${inLine(schema)}`],
        ),
      ];
    }),
  );
  await expect(`${lines.join("\n")}\n`).toMatchFileSnapshot("answers/openapi.txt");
});
