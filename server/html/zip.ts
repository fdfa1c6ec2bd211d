/** One file of an archive. Names use forward slashes. */
export type ZipEntry = Readonly<{ name: string; bytes: Uint8Array }>;

/** The check sum of zip and gzip (ISO 3309): "123456789" gives 0xCBF43926. */
export function crc32(bytes: Uint8Array): number {
  let crc = 0xffffffff;
  for (const byte of bytes) crc = (crc >>> 8) ^ (crcTable[(crc ^ byte) & 0xff] as number);
  return (crc ^ 0xffffffff) >>> 0;
}

const crcTable = Uint32Array.from({ length: 256 }, (_, index) => {
  let crc = index;
  for (let bit = 0; bit < 8; bit++) crc = crc & 1 ? (crc >>> 1) ^ 0xedb88320 : crc >>> 1;
  return crc >>> 0;
});

/** A zip archive with everything stored as it is: pictures and short texts hardly shrink. */
export function zipOf(entries: readonly ZipEntry[], changedAt: string): Uint8Array {
  const stamp = dosStamp(changedAt);
  const files = entries.map(({ name, bytes }) => ({
    name: new TextEncoder().encode(name),
    bytes,
    crc: crc32(bytes),
  }));
  const parts: Uint8Array[] = [];
  const directory: Uint8Array[] = [];
  let offset = 0;
  for (const file of files) {
    const common = commonFields(file, stamp);
    const local = joined([fields([[4, 0x04034b50]]), common, file.name]);
    directory.push(
      joined([
        fields([
          [4, 0x02014b50],
          [2, 20],
        ]),
        common,
        fields([
          [2, 0],
          [2, 0],
          [2, 0],
          [4, 0],
          [4, offset],
        ]),
        file.name,
      ]),
    );
    parts.push(local, file.bytes);
    offset += local.length + file.bytes.length;
  }
  const size = directory.reduce((sum, part) => sum + part.length, 0);
  const end = fields([
    [4, 0x06054b50],
    [2, 0],
    [2, 0],
    [2, files.length],
    [2, files.length],
    [4, size],
    [4, offset],
    [2, 0],
  ]);
  return joined([...parts, ...directory, end]);
}

type File = Readonly<{ name: Uint8Array; bytes: Uint8Array; crc: number }>;

/** Version, UTF-8 names, stored, stamp, check sum, both sizes, lengths of name and extra. */
const commonFields = ({ name, bytes, crc }: File, { time, date }: Stamp): Uint8Array =>
  fields([
    [2, 20],
    [2, 0x0800],
    [2, 0],
    [2, time],
    [2, date],
    [4, crc],
    [4, bytes.length],
    [4, bytes.length],
    [2, name.length],
    [2, 0],
  ]);

type Stamp = Readonly<{ time: number; date: number }>;

/** Zip counts from 1980 in steps of two seconds. */
function dosStamp(instant: string): Stamp {
  const at = new Date(instant);
  const year = Math.max(1980, at.getUTCFullYear());
  return {
    time: (at.getUTCHours() << 11) | (at.getUTCMinutes() << 5) | (at.getUTCSeconds() >> 1),
    date: ((year - 1980) << 9) | ((at.getUTCMonth() + 1) << 5) | at.getUTCDate(),
  };
}

function fields(values: readonly (readonly [size: 2 | 4, value: number])[]): Uint8Array {
  const bytes = new Uint8Array(values.reduce((sum, [size]) => sum + size, 0));
  const view = new DataView(bytes.buffer);
  let at = 0;
  for (const [size, value] of values) {
    if (size === 2) view.setUint16(at, value, true);
    else view.setUint32(at, value, true);
    at += size;
  }
  return bytes;
}

function joined(parts: readonly Uint8Array[]): Uint8Array {
  const whole = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}
