import type { Sent, TestServer } from "./bench.ts";

/** Sends a form as a browser without script does. */
export const postForm = (
  { send }: TestServer,
  url: string,
  fields: Readonly<Record<string, string>>,
): Promise<Sent> =>
  send("POST", url, new URLSearchParams(fields).toString(), {
    "content-type": "application/x-www-form-urlencoded",
  });

/** What a browser would send of the form that corrects a thing, as the page has it. */
export function formOn(page: string): Record<string, string> {
  const [, form = ""] = /<form method="post"[^>]* data-guard[^>]*>(.*?)<\/form>/s.exec(page) ?? [];
  const fields: Record<string, string> = {};
  for (const [, attributes = ""] of form.matchAll(/<input ([^>]*)>/g)) {
    const name = /name="([^"]*)"/.exec(attributes)?.[1];
    if (name) fields[name] = /value="([^"]*)"/.exec(attributes)?.[1] ?? "";
  }
  for (const [, name = "", text = ""] of form.matchAll(
    /<textarea [^>]*name="([^"]*)"[^>]*>(.*?)<\/textarea>/gs,
  ))
    fields[name] = text;
  for (const [, name = "", options = ""] of form.matchAll(
    /<select [^>]*name="([^"]*)"[^>]*>(.*?)<\/select>/gs,
  ))
    fields[name] = /<option value="([^"]*)" selected/.exec(options)?.[1] ?? "";
  return fields;
}

export const errorBeside = (page: string, field: string): string =>
  new RegExp(`id="field-${field}-error">([^<]*)`).exec(page)?.[1] ?? "";
