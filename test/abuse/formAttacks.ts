import { madePng } from "../support/madePictures.ts";
import type { FormField, PageForm } from "../support/pageForms.ts";
import { anId, sensorLog } from "./abusedWorld.ts";
import type { Attack } from "./assault.ts";
import { chance, escaped, hostileTexts, inheritedNames, oneOf } from "./hostile.ts";
import type { Draw } from "./schemaDraw.ts";

type Pairs = [string, string][];

/** A form of a page as somebody might send it: as it stands, filled in, or spoilt in some places. */
export function formAttack(form: PageForm, draw: Draw): Attack {
  const said = pairsFor(form, draw);
  const text = said.map(([name, value]) => `${escaped(name)}=${escaped(value)}`).join("&");
  const action = addressFor(form, draw);
  if (form.method === "GET")
    return {
      method: "GET",
      url: `${action.split("?")[0]}?${text.slice(0, 12_000)}`,
      headers: [],
      body: null,
    };
  const type = "application/x-www-form-urlencoded";
  return {
    ...{ method: "POST", url: action, body: Buffer.from(text) },
    headers: ["content-type", type, ...swapped(draw)],
  };
}

/** A form that carries a file, in parts; in many of them something of the wrapping is wrong. */
export function multipartAttack(form: PageForm, draw: Draw): Attack {
  const { random } = draw;
  const boundary = oneOf(random, ["----mark", "x", "a'b(c)+_,-./:=?", "-".repeat(70)]);
  const said = pairsFor(form, draw).filter(([name]) => !isFile(form, name));
  const parts = [...said.map(([name, value]) => part(name, value)), ...filesFor(form, draw)];
  if (chance(random, 0.3)) parts.sort(() => random.uniform() - 0.5);
  const whole = [...parts.flatMap((one) => [`--${boundary}\r\n`, one, "\r\n"]), `--${boundary}--\r\n`];
  let body = Buffer.concat(whole.map((piece) => Buffer.from(piece)));
  if (chance(random, 0.25)) body = body.subarray(0, random.index(body.length + 1));
  const gone = chance(random, 0.06) ? { goneAfter: random.index(body.length + 1) } : {};
  const type = chance(random, 0.85) ? `multipart/form-data; boundary="${boundary}"` : oneOf(random, oddTypes);
  const headers = [
    "content-type",
    type,
    ...(chance(random, 0.03) ? ["content-type", type] : []),
    ...swapped(draw),
  ];
  return { method: "POST", url: addressFor(form, draw), headers, body, ...gone };
}

const oddTypes = [
  ...["multipart/form-data", "multipart/form-data; boundary=", "multipart/form-data; boundary=other"],
  ...[
    "multipart/mixed; boundary=x",
    "multipart/form-data; boundary*=utf-8''x",
    "text/plain",
    "application/json",
  ],
  `multipart/form-data; boundary=${"y".repeat(5000)}`,
];

const addressFor = ({ action }: PageForm, { random, ids }: Draw): string =>
  chance(random, 0.95)
    ? action
    : action.replace(/[0-9a-f]{8}-[0-9a-f-]{27}/, () => escaped(anId(random, ids, "attempts")) || "%20");

const swapped = ({ random }: Draw): string[] => (chance(random, 0.5) ? ["hx-request", "true"] : []);

function pairsFor({ fields }: PageForm, draw: Draw): Pairs {
  const { random } = draw;
  const care = oneOf(random, [0, 0.05, 0.05, 0.3]);
  const pairs = fields
    .filter(({ kind }) => !/^(checkbox|radio|button)$/.test(kind) || chance(random, 0.4))
    .map((field): [string, string] => [field.name, valueFor(field, draw, care)]);
  if (chance(random, 0.08)) pairs.push([oneOf(random, inheritedNames), oneOf(random, hostileTexts)]);
  if (chance(random, 0.08) && pairs.length > 0) pairs.push([...oneOf(random, pairs)]);
  return chance(random, 0.1) ? pairs.filter(() => chance(random, 0.7)) : pairs;
}

const typed = [
  "1200",
  "1.2 V",
  "4,7 GHz",
  "4600",
  "15 min",
  "−5",
  "80",
  "2031-05-03T10:00",
  "Tern",
  "grün 漢字",
];

function valueFor({ kind, value, choices }: FormField, { random, ids }: Draw, care: number): string {
  if (chance(random, care)) return oneOf(random, hostileTexts);
  if (choices.length > 0) return chance(random, 0.5) ? oneOf(random, choices) : (choices[0] ?? "");
  if (kind === "hidden" || /^(checkbox|radio|button)$/.test(kind)) return value;
  if (chance(random, 0.05)) return anId(random, ids, "builds");
  return chance(random, 0.4) ? value : oneOf(random, typed);
}

const isFile = ({ fields }: PageForm, name: string): boolean =>
  fields.some((field) => field.name === name && field.kind === "file");

const part = (name: string, value: string | Buffer, more = ""): Buffer =>
  Buffer.concat([
    Buffer.from(`content-disposition: form-data; name="${name}"${more}\r\n\r\n`),
    Buffer.from(value),
  ]);

function filesFor({ fields }: PageForm, { random, raws }: Draw): Buffer[] {
  const names = fields.filter(({ kind }) => kind === "file").map(({ name }) => name);
  const contents = [
    sensorLog(30),
    madePng(),
    "",
    "\0\0\0",
    ...[...raws.values()].map(([, content]) => content),
  ];
  const fileNames = ["log.csv", "", "..\\..\\x", 'a"b;c', "\u202e.png", "n".repeat(2000)];
  const files = names.map((name) => {
    const content = Buffer.from(oneOf(random, contents));
    const cut = chance(random, 0.2) ? content.subarray(0, random.index(content.length + 1)) : content;
    const type = oneOf(random, [
      "",
      "\r\ncontent-type: text/csv",
      "\r\ncontent-type: ;;",
      `\r\n${"h: 1\r\n".repeat(80)}x: y`,
    ]);
    return part(
      chance(random, 0.95) ? name : oneOf(random, hostileTexts),
      cut,
      `; filename="${oneOf(random, fileNames)}"${type}`,
    );
  });
  if (chance(random, 0.1)) files.push(Buffer.from("no head at all"));
  if (chance(random, 0.05)) files.push(...Array.from({ length: 40 }, (_, i) => part(`more${i}`, "x")));
  return files;
}
