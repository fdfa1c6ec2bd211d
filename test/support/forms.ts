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
