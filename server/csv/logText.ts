import { invalid, type Refusal } from "../bench/things/refusal.ts";

export type Encoding = "utf-8" | "utf-16le" | "utf-16be" | "windows-1252";

const signatures: readonly (readonly [string, string])[] = [
  ["504b0304", "a zip archive or a spreadsheet"],
  ["504b0506", "an empty zip archive"],
  ["1f8b", "a gzip archive"],
  ["377abcaf271c", "a packed archive"],
  ["fd377a585a00", "a packed archive"],
  ["25504446", "a PDF"],
  ["53514c69746520666f726d6174", "a database"],
  ["89504e47", "a picture"],
  ["ffd8ff", "a picture"],
  ["d0cf11e0", "an old spreadsheet or document"],
  ["7f454c46", "a program"],
];

/** Why the first bytes are no log, where they are none. */
export function binaryRefusal(head: Buffer): Refusal | undefined {
  const hex = head.subarray(0, 16).toString("hex");
  const kind = signatures.find(([start]) => hex.startsWith(start))?.[1];
  if (kind !== undefined)
    return invalid(`This is ${kind}, not a log. Save the log as CSV text and send that.`);
  const encoding = encodingOf(head);
  if (encoding !== "utf-8" && encoding !== "windows-1252") return undefined;
  let odd = 0;
  const looked = withoutTrailingZeros(head.subarray(0, 4096));
  for (const byte of looked) if (byte === 0 || (byte < 32 && (byte < 9 || byte > 13))) odd += 1;
  return odd * 50 > looked.length ? invalid("This is not text, so it cannot be read as a log.") : undefined;
}

/** A crash leaves zero bytes behind the last line of a short log. */
function withoutTrailingZeros(bytes: Buffer): Buffer {
  let end = bytes.length;
  while (end > 0 && bytes[end - 1] === 0) end -= 1;
  return bytes.subarray(0, end);
}

/** The encoding by its mark, else by where the zero bytes are, else by whether it is sound UTF-8. */
export function encodingOf(head: Buffer): Encoding {
  if (head[0] === 0xff && head[1] === 0xfe) return "utf-16le";
  if (head[0] === 0xfe && head[1] === 0xff) return "utf-16be";
  const looked = withoutTrailingZeros(head.subarray(0, 2048));
  const zeros = [0, 0];
  looked.forEach((byte, at) => {
    if (byte === 0) zeros[at % 2] = (zeros[at % 2] ?? 0) + 1;
  });
  const many = looked.length / 4;
  if ((zeros[1] ?? 0) > many && zeros[0] === 0) return "utf-16le";
  if ((zeros[0] ?? 0) > many && zeros[1] === 0) return "utf-16be";
  return isUtf8(head) ? "utf-8" : "windows-1252";
}

/** A character cut in two by the end of the head is no fault of the text. */
function isUtf8(head: Buffer): boolean {
  try {
    new TextDecoder("utf-8", { fatal: true }).decode(head, { stream: true });
    return true;
  } catch {
    return false;
  }
}

/** Bytes as UTF-8 lines: UTF-16 is recoded, the mark taken off, lone carriage returns made line ends. */
export function recoder(head: Buffer): (bytes: Buffer) => Buffer {
  const encoding = encodingOf(head);
  if (encoding === "utf-16le" || encoding === "utf-16be") {
    const decoder = new TextDecoder(encoding);
    const lone = recodedHead(head, encoding);
    const ends = lineEnds(lone);
    return (bytes) => ends(Buffer.from(decoder.decode(bytes, { stream: true }), "utf-8"));
  }
  const ends = lineEnds(head);
  let first = true;
  return (bytes) => {
    const marked = first && bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf;
    first = false;
    return ends(marked ? bytes.subarray(3) : bytes);
  };
}

const recodedHead = (head: Buffer, encoding: Encoding): Buffer =>
  Buffer.from(new TextDecoder(encoding).decode(head), "utf-8");

function lineEnds(head: Buffer): (bytes: Buffer) => Buffer {
  if (head.includes(10) || !head.includes(13)) return (bytes) => bytes;
  return (bytes) => Buffer.from(bytes.map((byte) => (byte === 13 ? 10 : byte)));
}

/** What turns the bytes of a line into text. */
export function lineReader(encoding: Encoding): (bytes: Buffer) => string {
  if (encoding !== "windows-1252") return (bytes) => bytes.toString("utf-8");
  const decoder = new TextDecoder("windows-1252");
  return (bytes) => decoder.decode(bytes);
}
