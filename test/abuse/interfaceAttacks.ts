import type { TestServer } from "../support/bench.ts";
import { anId, type RawBody } from "./abusedWorld.ts";
import type { Attack } from "./assault.ts";
import { chance, escaped, hostileTexts, jsonText, oneOf } from "./hostile.ts";
import { asked, type Draw, type Schema, spoilt } from "./schemaDraw.ts";

type Operation = Readonly<{
  method: string;
  path: string;
  query: readonly Readonly<{ name: string; schema: Schema; required?: boolean }>[];
  body: Schema | null;
}>;

/** Every address of the interface, as it describes itself. */
export async function operationsOf({ send }: TestServer): Promise<readonly Operation[]> {
  const { paths } = (await send("GET", "/api/openapi.json")).body as { paths: Record<string, object> };
  return Object.entries(paths).flatMap(([path, byMethod]) =>
    // biome-ignore lint/suspicious/noExplicitAny: an OpenAPI document, read by the names it has
    Object.entries(byMethod).map(([method, { parameters = [], requestBody }]: [string, any]) => ({
      method: method.toUpperCase(),
      path,
      query: parameters.filter((one: { in: string }) => one.in === "query"),
      body: requestBody?.content["application/json"]?.schema ?? null,
    })),
  );
}

export function attackOn({ method, path, query, body }: Operation, draw: Draw): Attack {
  const { random } = draw;
  const url = addressOf(path, draw) + queryOf(query, draw);
  const sent = method === "GET" || method === "DELETE" ? null : bodyFor(path, body, draw);
  const headers = [...(sent ? ["content-type", sent.type] : []), ...oddHeaders(draw, sent?.type)];
  const gone = sent && chance(random, 0.02) ? { goneAfter: random.index(sent.bytes.length + 1) } : {};
  return { method, url, headers, body: sent?.bytes ?? null, ...gone };
}

const addressOf = (path: string, { random, ids }: Draw): string =>
  path.replace(/\{(\w+)\}/g, () => escaped(anId(random, ids, path.split("/")[2] ?? "")) || "%20");

function queryOf(query: Operation["query"], draw: Draw): string {
  const { random } = draw;
  const often = chance(random, 0.5) ? 0.2 : 0.6;
  const said = query
    .filter(({ required }) => required || chance(random, often))
    .map(({ name, schema }): [string, unknown] => [name, asked(schema, name, draw)]);
  // A fit is waited for where nothing else is said, for as long as it takes.
  if (query.some(({ name }) => name === "wait")) said.push(["wait", "0"]);
  if (chance(random, 0.1)) said.push([oneOf(random, hostileTexts).slice(0, 300), "1"]);
  const pairs = said.map(([name, value]) => {
    const text = chance(random, 0.15) ? oneOf(random, hostileTexts).slice(0, 2000) : String(value);
    return `${escaped(name)}=${escaped(text)}`;
  });
  if (pairs.length > 0 && chance(random, 0.05)) pairs.push(pairs[0] as string);
  return pairs.length > 0 ? `?${pairs.join("&")}` : "";
}

type Said = Readonly<{ type: string; bytes: Buffer }>;

function bodyFor(path: string, schema: Schema | null, draw: Draw): Said {
  const { random } = draw;
  if (schema === null || chance(random, 0.02)) return rawBody(path, draw);
  let text = jsonText(spoilt(asked(schema, "", draw), random));
  if (chance(random, 0.04)) text = text.slice(0, random.index(text.length + 1));
  const type = chance(random, 0.96) ? "application/json" : oneOf(random, types);
  return { type, bytes: Buffer.from(text) };
}

const types = [
  ...["application/json", "application/json; charset=utf-16", "text/csv", "text/plain", "image/png"],
  ...["application/x-ndjson", "application/octet-stream", "application/x-www-form-urlencoded"],
  ...["multipart/form-data", "multipart/form-data; boundary=", "x", "*/*", "application/json;;;", "; a=b"],
];

/** A body that no schema describes: the right kind for its address more often than not, cut and stained. */
function rawBody(path: string, draw: Draw): Said {
  const { random, raws } = draw;
  const [type, content] = chance(random, 0.7) ? usualRaw(path, draw) : oneOf(random, [...raws.values()]);
  const isJson = type === "application/json" && chance(random, 0.5);
  const text = isJson ? jsonText(spoilt(JSON.parse(String(content) || "null"), random)) : content;
  let bytes = Buffer.from(text);
  const stains = random.index(4);
  for (let stain = 0; stain < stains && bytes.length > 0; stain++) {
    const at = random.index(bytes.length);
    const put = Buffer.from(oneOf(random, [...hostileTexts, ",", "\n", '"', "{", "]"]));
    bytes = Buffer.concat([bytes.subarray(0, at), put, bytes.subarray(at + random.index(20))]);
  }
  if (chance(random, 0.15)) bytes = bytes.subarray(0, random.index(bytes.length + 1));
  return { type: chance(random, 0.9) ? type : oneOf(random, types), bytes };
}

const usualRaw = (path: string, { raws }: Draw): RawBody =>
  raws.get(path.split("/").at(-1) ?? "") ?? ["application/json", ""];

/** Headers that a plain client would not send, or not twice. */
function oddHeaders({ random }: Draw, type = "application/json"): string[] {
  if (chance(random, 0.75)) return [];
  const text = oneOf(random, hostileTexts)
    .replace(/[^\x20-\x7e]/g, "")
    .slice(0, 1000);
  const odd: readonly (readonly string[])[] = [
    ["content-type", type],
    ["host", "evil.example"],
    ["idempotency-key", text],
    ["idempotency-key", `k${random.index(40)}`, "idempotency-key", "k"],
    ["if-match", text],
    ["if-match", '"1"', "if-match", '"2"'],
    ["accept-encoding", "br;q=9, gzip, x"],
    ["origin", text],
    ["origin", "null", "origin", "null"],
    ["content-encoding", "gzip"],
    ["transfer-encoding", "chunked"],
    ["expect", "100-continue"],
    ["range", "bytes=0-1,5-"],
    ["cookie", text],
    ["x".repeat(300), text],
    ["hx-request", "true", "hx-boosted", text],
  ];
  return [...oneOf(random, odd)];
}
