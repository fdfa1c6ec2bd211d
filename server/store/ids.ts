/** A UUIDv7 (RFC 9562) from milliseconds since 1970 and ten random bytes; ids made later sort later. */
export function uuidV7(ms: number, random: Uint8Array): string {
  const bytes = new Uint8Array(16);
  for (let i = 0, rest = ms; i < 6; i++, rest = Math.floor(rest / 256)) bytes[5 - i] = rest % 256;
  bytes.set(random.subarray(0, 10), 6);
  bytes[6] = 0x70 | ((bytes[6] ?? 0) & 0x0f);
  bytes[8] = 0x80 | ((bytes[8] ?? 0) & 0x3f);
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`;
}
