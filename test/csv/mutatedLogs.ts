import { seededRandom } from "../../server/numerics/seededRandom.ts";

const rowsOf = (head: string, row: (at: number) => string): Buffer =>
  Buffer.from([head, ...Array.from({ length: 24 }, (_, at) => row(at)), ""].join("\n"));

/** Logs as recorders write them: a clock with quoted notes, decimal commas, instants, seconds with cells missing, a repeated header. */
const bases: readonly Buffer[] = [
  rowsOf(
    "Time,Core temp [°C],Power [W],Note",
    (at) => `12:59:${String(36 + at).padStart(2, "0")}.5,${40 + at / 2},${100 + at},"ok, ${at}"`,
  ),
  rowsOf(
    "Zeit;Temperatur [°C];Leistung [W]",
    (at) => `${at};${String(40 + at / 2).replace(".", ",")};${100 + at},25`,
  ),
  rowsOf(
    "Date,CPU temp °C,Fan rpm",
    (at) => `2031-05-04T23:59:${String(36 + at).padStart(2, "0")}Z,${40 + at / 2},${900 + at}`,
  ),
  rowsOf(
    "elapsed s\ttemp C\tpower W",
    (at) => `${at / 2}\t${at % 5 ? 40 + at / 4 : ""}\t${at % 7 ? 100 : "NaN"}`,
  ),
  rowsOf("Time,Temp [°F],Clock [GHz]", (at) =>
    at === 12 ? "Time,Temp [°F],Clock [GHz]" : `${at},${110 + at},4.6`,
  ),
];

const spoilers = [
  '"',
  ",",
  ";",
  "\t",
  "\n",
  "\r",
  "\r\n",
  "\0",
  "\0\0\0\0",
  "e99999",
  "-",
  ".",
  "NaN",
  "::",
  "\ufeff",
  "\xff",
  "9".repeat(40),
  '""""',
  "24:61:99",
];

/** A log spoiled in up to six places: bytes changed, dropped, doubled, words put in, its end torn off, recoded. */
function mutatedLog(seed: number): Buffer {
  const random = seededRandom(seed);
  let bytes: Buffer = Buffer.from(bases[seed % bases.length] as Buffer);
  for (let count = 1 + random.index(6); count > 0; count -= 1) bytes = spoiled(bytes, random);
  if (random.uniform() < 0.05) return Buffer.from(bytes.toString("latin1"), "utf16le");
  return bytes;
}

function spoiled(bytes: Buffer, random: ReturnType<typeof seededRandom>): Buffer {
  const at = random.index(bytes.length + 1);
  const to = Math.min(bytes.length, at + random.index(80));
  const [before, middle, after] = [bytes.subarray(0, at), bytes.subarray(at, to), bytes.subarray(to)];
  const kind = random.index(6);
  if (kind === 0) return Buffer.concat([before, Buffer.from([random.index(256)]), bytes.subarray(at + 1)]);
  if (kind === 1) return Buffer.concat([before, after]);
  if (kind === 2) return Buffer.concat([before, middle, middle, after]);
  if (kind === 3) return Buffer.from(before);
  if (kind === 4) return Buffer.concat([after, before]);
  return Buffer.concat([
    before,
    Buffer.from(spoilers[random.index(spoilers.length)] ?? "", "latin1"),
    bytes.subarray(at),
  ]);
}

/** What is wrong with how a spoiled log was read, if anything: it must give sound rows or a refusal, and soon. */
export async function readingFault(
  seed: number,
  read: (
    log: Buffer,
    pieceBytes: number,
  ) => Promise<{ t: readonly number[]; channels: Record<string, readonly number[]> }>,
): Promise<string | undefined> {
  try {
    const { t, channels } = await read(mutatedLog(seed), 1 + ((seed * 37) % 900));
    if (t.some((at, row) => !Number.isFinite(at) || at < (t[row - 1] ?? 0))) return "a time that runs back";
    if (Object.values(channels).some((values) => values.length !== t.length))
      return "columns of different lengths";
    if (
      Object.values(channels)
        .flat()
        .some((value) => Math.abs(value) === Number.POSITIVE_INFINITY)
    )
      return "an infinity";
    return undefined;
  } catch (error) {
    const refusal = error as Error;
    return refusal.name === "Refusal" && refusal.message.endsWith(".") ? undefined : `${refusal.stack}`;
  }
}
