import type { FastifyRequest } from "fastify";
import * as z from "zod";
import { calledThing } from "../bench/things/asSet.ts";
import { issueWords } from "../bench/things/issueWords.ts";
import { type FieldRefusals, invalid, missing } from "../bench/things/refusal.ts";
import { id, isId } from "../bench/things/units.ts";

/** The body as the schema reads it; a clear sentence beside each field where it cannot. */
export const bodyOf = <Schema extends z.ZodType>(schema: Schema, request: FastifyRequest): z.infer<Schema> =>
  read(schema, request.body ?? {}, "The request");

export const queryOf = <Schema extends z.ZodType>(schema: Schema, request: FastifyRequest): z.infer<Schema> =>
  read(schema, request.query, "The address");

export function read<Schema extends z.ZodType>(
  schema: Schema,
  value: unknown,
  what: string,
): z.infer<Schema> {
  const result = schema.safeParse(value, { error: issueWords });
  if (result.success) return result.data;
  const fields = fieldRefusals(result.error);
  const [first] = Object.values(fields);
  throw invalid(first ?? `${what} could not be read.`, fields);
}

function fieldRefusals(error: z.ZodError): FieldRefusals {
  const fields = new Map<string, string>();
  const note = (path: readonly PropertyKey[], words: string): void => {
    const place = path.join(".");
    if (!fields.has(place)) fields.set(place, words);
  };
  for (const issue of error.issues) {
    if (issue.code === "unrecognized_keys")
      for (const key of issue.keys) note([...issue.path, key], "This field is not known.");
    else note(issue.path, issue.message);
  }
  return Object.fromEntries(fields);
}

/** The id in the address; a malformed one names nothing. */
export function idOf(request: FastifyRequest, what: string): string {
  const { id: wanted } = request.params as { id: string };
  if (!isId(wanted)) throw missing(what);
  return wanted;
}

/** The version an edit was made on, where the request says so. */
export function expectedVersion(request: FastifyRequest): number | null {
  const header = request.headers["if-match"];
  if (header === undefined || header === "*") return null;
  const version = Number(header.replace(/^W\//, "").replaceAll('"', ""));
  if (!Number.isInteger(version)) throw invalid("If-Match carries the version that was read.");
  return version;
}

const listLimits = {
  limit: z.coerce
    .number({ error: "limit is a whole number from 1 to 500." })
    .int("limit is a whole number from 1 to 500.")
    .min(1, "limit is a whole number from 1 to 500.")
    .max(500, "limit is a whole number from 1 to 500.")
    .optional(),
  after: z.string().max(500).optional(),
};
export const listQuery = z.strictObject(listLimits);
export const noQuery = z.strictObject({});
export const idParams = z.object({ id });

export const pageWanted = (query: z.infer<typeof listQuery>) => ({
  limit: query.limit ?? 50,
  after: query.after ?? null,
});

/** A number in an address, such as ?voltageMv=1187.5. */
export const numberInQuery = (what: string, low: number, high: number) =>
  z.coerce
    .number({ error: `${what} must be a number.` })
    .min(low, `${what} must be at least ${low}.`)
    .max(high, `${what} must be at most ${high}.`);

export const attemptListQuery = z.strictObject({
  ...listLimits,
  clockMhz: numberInQuery("clockMhz", 1, 20_000).optional(),
  voltageMv: numberInQuery("voltageMv", 100, 3000).optional(),
  offset: numberInQuery("offset", -20_000, 20_000).optional(),
  part: calledThing.optional(),
  workloadId: id.optional(),
  outcome: z.string().max(40).optional(),
});
