import type { SeededRandom } from "../../server/numerics/seededRandom.ts";
import { theInstant } from "../support/bench.ts";
import { anId, type Ids, type RawBodies } from "./abusedWorld.ts";
import { chance, hostileValue, inheritedNames, oneOf } from "./hostile.ts";

/** As much of JSON Schema as the interface's description uses. */
export type Schema = Readonly<{
  type?: string | readonly string[];
  anyOf?: readonly Schema[];
  enum?: readonly unknown[];
  const?: unknown;
  properties?: Readonly<Record<string, Schema>>;
  required?: readonly string[];
  items?: Schema;
  minItems?: number;
  minimum?: number;
  maximum?: number;
  maxLength?: number;
  pattern?: string;
  format?: string;
}>;

export type Draw = Readonly<{ random: SeededRandom; ids: Ids; raws: RawBodies }>;

/** Names that hold ids, and whose. */
const kindNamed: Readonly<Record<string, string>> = {
  ...{ chipId: "chips", chip: "chips", boardId: "boards", workloadId: "workloads", workload: "workloads" },
  ...{ ruleId: "rules", rule: "rules", basedOn: "builds", a: "builds", b: "builds", again: "attempts" },
};

/** What the schema asks for; optional parts now and then. */
export function asked(schema: Schema, name: string, draw: Draw): unknown {
  const { random, ids } = draw;
  if (schema.anyOf) return asked(oneOf(random, schema.anyOf), name, draw);
  if (schema.enum) return oneOf(random, schema.enum);
  if ("const" in schema) return schema.const;
  const type = typeof schema.type === "string" ? schema.type : oneOf(random, schema.type ?? ["string"]);
  if (type === "object") return objectAsked(schema, draw);
  if (type === "array")
    return Array.from({ length: Math.max(schema.minItems ?? 0, random.index(4)) }, () =>
      asked(schema.items ?? {}, name, draw),
    );
  if (type === "boolean") return chance(random, 0.5);
  if (type === "null") return null;
  if (type === "integer" || type === "number") return numberAsked(schema, type, random);
  if (schema.format === "date-time") return momentBefore(random);
  if (schema.pattern?.includes("-7[0-9a-f]{3}-")) return anId(random, ids, kindNamed[name] ?? "");
  return oneOf(random, ["Tern", "a word or two", "1200, 1250", "grün ß 漢字", ""]);
}

function objectAsked({ properties = {}, required = [] }: Schema, draw: Draw): object {
  const often = required.length === 0 ? 0.4 : 0.15;
  const wanted = Object.entries(properties).filter(
    ([name]) => required.includes(name) || chance(draw.random, often),
  );
  return Object.fromEntries(wanted.map(([name, schema]) => [name, asked(schema, name, draw)]));
}

function numberAsked({ minimum = -1000, maximum = 10_000 }: Schema, type: string, random: SeededRandom) {
  const [low, high] = [Math.max(minimum, -1e6), Math.min(maximum, 1e6)];
  const drawn = oneOf(random, [low, high, random.uniformIn(low, high), Math.sqrt(Math.max(1, low) * high)]);
  return type === "integer" ? Math.trunc(drawn) : Math.round(drawn * 100) / 100;
}

const momentBefore = (random: SeededRandom): string =>
  new Date(Date.parse(theInstant) - random.index(10 * 86_400_000)).toISOString();

/** None, one or some places of what was asked for, made hostile: replaced, left out, or something put beside them. */
export function spoilt(value: unknown, random: SeededRandom): unknown {
  const places = oneOf(random, [0, 0, 0, 1, 1, 1, 2, 5]);
  let found = value;
  for (let place = 0; place < places; place++) found = spoiltOnce(found, random);
  return found;
}

function spoiltOnce(value: unknown, random: SeededRandom): unknown {
  if (Array.isArray(value) && value.length > 0 && chance(random, 0.8)) {
    const at = random.index(value.length);
    return value.map((one, i) => (i === at ? spoiltOnce(one, random) : one));
  }
  if (typeof value !== "object" || value === null || chance(random, 0.1)) return hostileValue(random);
  const names = Object.keys(value);
  if (names.length === 0 || chance(random, 0.2))
    return { ...value, [oneOf(random, [...inheritedNames, "colour", ""])]: hostileValue(random) };
  const name = oneOf(random, names);
  const { [name]: inside, ...rest } = value as Record<string, unknown>;
  return chance(random, 0.2) ? rest : { ...rest, [name]: spoiltOnce(inside, random) };
}
