import { crc32 } from "node:zlib";

/** A record as a line of the spool: its checksum, a blank, the record as JSON. */
export function spoolLine(record: unknown): string {
  const json = JSON.stringify(record);
  return `${checksum(json)} ${json}\n`;
}

/** The records of lines that are whole, in order; what a crash tore, or a disk spoilt, is left out. */
export const recordsIn = (text: string): readonly unknown[] =>
  text.split("\n").flatMap((line) => {
    const json = line.slice(9);
    if (line[8] !== " " || checksum(json) !== line.slice(0, 8)) return [];
    return [JSON.parse(json) as unknown];
  });

const checksum = (json: string): string => crc32(json).toString(16).padStart(8, "0");
