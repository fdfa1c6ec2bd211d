/** One request to the server of the journal. */
export type Sending = Readonly<{
  method: "GET" | "PUT" | "POST" | "PATCH";
  path: string;
  body?: unknown;
  /** Rows, each an object, sent one a line. */
  lines?: readonly unknown[];
  key?: string;
}>;

// biome-ignore lint/suspicious/noExplicitAny: what another machine answers is looked at field by field where it is used
export type Answered = Readonly<{ status: number; body: any }>;

/** Rejects where the server cannot be reached. A redirect is an answer like any other, and is never followed. */
export type Transport = (sent: Sending) => Promise<Answered>;

export const isTaken = ({ status }: Answered): boolean => status >= 200 && status < 300;
/** The server has looked at it and will not have it, however often it is sent. */
export const isRefused = ({ status }: Answered): boolean => [400, 404, 409, 413, 422].includes(status);
