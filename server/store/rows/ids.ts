/** A UUIDv7 (RFC 9562) from milliseconds since 1970 and ten random bytes; ids made later sort later. */
export function uuidV7(ms: number, random: Uint8Array): string {
  const bytes = new Uint8Array(16);
  for (let i = 0, rest = ms; i < 6; i++, rest = Math.floor(rest / 256)) bytes[5 - i] = rest % 256;
  bytes.set(random.subarray(0, 10), 6);
  bytes[6] = 0x70 | ((bytes[6] ?? 0) & 0x0f);
  bytes[8] = 0x80 | ((bytes[8] ?? 0) & 0x3f);
  const hex = Buffer.from(bytes.buffer).toString("hex");
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`;
}

/** The milliseconds since 1970 that a UUIDv7 begins with; NaN for what is none. */
export const msOfId = (id: string): number => Number.parseInt(id.slice(0, 13).replace("-", ""), 16);

/** Chance is dear to ask for: it is drawn a thousand bytes at a time. */
export function drawnFrom(randomBytes: (count: number) => Uint8Array): (count: number) => Uint8Array {
  let store: Uint8Array = new Uint8Array();
  let used = 0;
  return (count) => {
    if (used + count > store.length) {
      store = randomBytes(Math.max(count, 1000));
      used = 0;
    }
    used += count;
    return store.subarray(used - count, used);
  };
}
