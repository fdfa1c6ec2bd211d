import { createHash } from "node:crypto";

/** What tells a text, or bytes, from any other: SHA-256 in base64url. */
export const digestOf = (said: string | Uint8Array): string =>
  createHash("sha256").update(said).digest("base64url");
