import { createHash } from "node:crypto";

/** So many digits of a print of texts, and of values by their bits, one after another. */
export function shortPrint(
  digits: number,
  ...all: readonly (string | Uint8Array | Float64Array | Uint32Array)[]
): string {
  const hash = createHash("sha256");
  for (const one of all)
    hash.update(typeof one === "string" ? one : new Uint8Array(one.buffer, one.byteOffset, one.byteLength));
  return hash.digest("hex").slice(0, digits);
}
