import type { TestServer } from "./bench.ts";

/** A form as a page shows it: where it goes, how, and what stands in its fields. */
export type PageForm = Readonly<{
  page: string;
  method: "GET" | "POST";
  action: string;
  isMultipart: boolean;
  fields: readonly FormField[];
}>;
export type FormField = Readonly<{ name: string; kind: string; value: string; choices: readonly string[] }>;

const pagesOfOneShape = 2;

/**
 * The forms of every page that links lead to from the first, those that go to one kind of place together. Of pages that
 * differ by what they name alone, two are looked at.
 */
export async function formsOf(server: TestServer): Promise<readonly (readonly PageForm[])[]> {
  const seen = new Map<string, number>();
  const waiting = ["/"];
  const forms = new Map<string, Map<string, PageForm>>();
  for (let page = waiting.shift(); page !== undefined; page = waiting.shift()) {
    const shape = shapeOf(page);
    const met = seen.get(shape) ?? 0;
    seen.set(shape, met + 1);
    if (met >= pagesOfOneShape) continue;
    const { body, status, headers } = await server.send("GET", page);
    if (status !== 200 || !String(headers["content-type"]).includes("html")) continue;
    for (const form of formsIn(body, page)) {
      const place = `${form.method} ${shapeOf(form.action.split("?")[0] ?? "")}`;
      const alike = forms.get(place) ?? new Map<string, PageForm>();
      forms.set(place, alike.set(`${form.action} ${namesOf(form)}`, form));
    }
    waiting.push(...linksIn(body));
  }
  return [...forms.values()].map((alike) => [...alike.values()]);
}

const shapeOf = (address: string): string =>
  address.replace(/[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}/g, ":id").replace(/=[^&]*/g, "=");
const namesOf = ({ fields }: PageForm): string => fields.map(({ name }) => name).join();

const linksIn = (html: string): string[] =>
  [...html.matchAll(/ href="(\/[^"#]*)/g)].map(([, address = ""]) => plain(address));

const tags = /<(\/?)(form|input|select|option|textarea|button)((?:\s+[\w:-]+(?:="[^"]*")?)*)\s*\/?>([^<]*)/g;
type Attributes = Readonly<Record<string, string | undefined>>;
type OpenField = { name: string; kind: string; value: string; choices: string[] };
type OpenForm = { id: string | undefined; at: Attributes; fields: OpenField[] };

/** A form once for itself and once for each button that sends it elsewhere. */
export function formsIn(html: string, page: string): PageForm[] {
  const forms: OpenForm[] = [];
  const elsewhere: [OpenForm, Attributes][] = [];
  const astray: [string, OpenField][] = [];
  let open: OpenForm | undefined;
  for (const [, closing, tag, words = "", text = ""] of html.matchAll(tags)) {
    const at = attributesIn(words);
    if (tag === "form") {
      open = closing ? undefined : { id: at.id, at, fields: [] };
      if (open) forms.push(open);
    } else if (tag === "option") {
      const select = (open?.fields ?? astray.map(([, one]) => one)).at(-1);
      select?.choices.push(plain(at.value ?? text));
      if (select && at.selected !== undefined) select.value = plain(at.value ?? text);
    } else if (!closing && at.name !== undefined) {
      const kind = tag === "input" ? (at.type ?? "text") : (tag ?? "");
      const field: OpenField = { name: plain(at.name), kind, value: plain(at.value ?? text), choices: [] };
      if (at.form !== undefined) astray.push([at.form, field]);
      else open?.fields.push(field);
    }
    if (tag === "button" && at.formaction !== undefined && open) elsewhere.push([open, at]);
  }
  for (const [id, field] of astray) forms.find((form) => form.id === id)?.fields.push(field);
  return [
    ...forms.map((form) => formFrom(form, form.at, page)),
    ...elsewhere.map(([form, { formaction, formmethod }]) =>
      formFrom(form, { ...form.at, action: formaction, method: formmethod ?? form.at.method }, page),
    ),
  ];
}

const formFrom = ({ fields }: OpenForm, at: Attributes, page: string): PageForm => ({
  page,
  method: at["hx-post"] !== undefined || at.method?.toLowerCase() === "post" ? "POST" : "GET",
  action: plain(at.action ?? at["hx-post"] ?? page).replace(/#.*/, ""),
  isMultipart: at.enctype === "multipart/form-data",
  fields,
});

const attributesIn = (words: string): Attributes =>
  Object.fromEntries(
    [...words.matchAll(/([\w:-]+)(?:="([^"]*)")?/g)].map(([, name, value = ""]) => [name, value]),
  );

const plain = (html: string): string =>
  html.replace(
    /&(amp|lt|gt|quot|#39);/g,
    (_, name) => ({ amp: "&", lt: "<", gt: ">", quot: '"', "#39": "'" })[name as string] ?? "",
  );
