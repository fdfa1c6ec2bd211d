/**
 * A chunk of one channel as bytes, little-endian: "RBT" and a version; then the kind, the decimals and flags, a byte each
 * and a spare one; how many values; how many words follow the head; the first value as an integer. A packed chunk holds
 * the values as integers of that many decimals, as differences from the one before, in blocks of 256: a word with the
 * width in bits, a word with the least difference, and the differences over that least one, packed. Missing values are
 * marked in a bit map before the blocks. Values that are no decimals are kept as they are, in a plain chunk.
 */
const magic = 0x54_42_52;
const version = 1;
const headBytes = 24;
const block = 256;

const kinds = { empty: 0, packed: 1, plain: 2 } as const;
const withGaps = 1;
const narrow = 2;

const mostDecimals = 9;
const powers = Float64Array.from({ length: mostDecimals + 1 }, (_, exponent) => 10 ** exponent);
const mostChunk = 65_536;

const integers = new Int32Array(mostChunk);
const mantissas = new Float64Array(mostChunk);
const overs = new Uint32Array(block);
const words = new Uint32Array(mostChunk + 2 * (mostChunk / block + 1) + mostChunk / 32 + 8);

export type Chunk = Readonly<{ blob: Buffer; decimals: number }>;

/**
 * The first `count` values as a chunk. `decimals` is where the search for a fit starts: the decimals of the chunk
 * before. What is unpacked is what was packed, bit for bit; only minus zero comes back as zero.
 */
export function packed(values: Float64Array, count: number, decimals = 0): Chunk {
  if (count > mostChunk) throw new RangeError(`A chunk holds at most ${mostChunk} values.`);
  const fit = fitOf(values, count, Math.min(decimals, mostDecimals));
  if (fit === undefined) return { blob: plainBlob(values, count), decimals };
  if (fit.present === 0) return { blob: blobOf(kinds.empty, 0, 0, count, 0, 0), decimals };
  const gaps = fit.present < count;
  const from = gaps ? bitMapInto(values, count) : 0;
  const used = fit.isNarrow ? narrowBlocks(count, from) : wideBlocks(count, from);
  if (used < 0) return { blob: plainBlob(values, count), decimals };
  const flags = (gaps ? withGaps : 0) | (fit.isNarrow ? narrow : 0);
  const first = (fit.isNarrow ? integers[0] : mantissas[0]) as number;
  const blob = blobOf(kinds.packed, fit.decimals, flags, count, used, first);
  blob.set(new Uint8Array(words.buffer, 0, used * 4), headBytes);
  return { blob, decimals: fit.decimals };
}

type Fit = Readonly<{ decimals: number; present: number; isNarrow: boolean }>;

/** Fills `integers` or `mantissas`, a missing value repeating the one before; undefined where the values are no decimals. */
function fitOf(values: Float64Array, count: number, from: number): Fit | undefined {
  for (const isNarrow of [true, false]) {
    for (let decimals = from; decimals <= mostDecimals; decimals += 1) {
      const present = isNarrow ? integersAt(values, count, decimals) : mantissasAt(values, count, decimals);
      if (present >= 0) return { decimals, present, isNarrow };
    }
  }
  return undefined;
}

/** How many values there are, or -1 where one of them is no decimal of this many places within 30 bits. */
function integersAt(values: Float64Array, count: number, decimals: number): number {
  const power = powers[decimals] as number;
  const reach = 2 ** 30;
  const start = firstOf(values, count) * power;
  let previous = (start + (start < 0 ? -0.5 : 0.5)) | 0;
  let present = 0;
  for (let i = 0; i < count; i += 1) {
    const value = values[i] as number;
    if (!Number.isNaN(value)) {
      const wide = value * power;
      previous = (wide + (wide < 0 ? -0.5 : 0.5)) | 0;
      if (previous / power !== value || previous >= reach || previous <= -reach) return -1;
      present += 1;
    }
    integers[i] = previous;
  }
  return present;
}

/** The same without the bound of 30 bits. */
function mantissasAt(values: Float64Array, count: number, decimals: number): number {
  const power = powers[decimals] as number;
  let previous = Math.round(firstOf(values, count) * power);
  let present = 0;
  for (let i = 0; i < count; i += 1) {
    const value = values[i] as number;
    if (!Number.isNaN(value)) {
      previous = Math.round(value * power);
      if (previous / power !== value || Math.abs(previous) > Number.MAX_SAFE_INTEGER) return -1;
      present += 1;
    }
    mantissas[i] = previous;
  }
  return present;
}

function firstOf(values: Float64Array, count: number): number {
  for (let i = 0; i < count; i += 1) {
    const value = values[i] as number;
    if (!Number.isNaN(value)) return value;
  }
  return 0;
}

function bitMapInto(values: Float64Array, count: number): number {
  const used = Math.ceil(count / 32);
  words.fill(0, 0, used);
  for (let i = 0; i < count; i += 1) {
    const value = values[i] as number;
    if (!Number.isNaN(value)) words[i >>> 5] = (words[i >>> 5] as number) | (1 << (i & 31));
  }
  return used;
}

/** Packs `integers` behind the words used; gives the words used then. */
function narrowBlocks(count: number, from: number): number {
  let used = from;
  let previous = integers[0] as number;
  for (let start = 1; start < count; start += block) {
    const length = Math.min(block, count - start);
    let least = 2 ** 31 - 1;
    let most = -(2 ** 31);
    for (let k = 0; k < length; k += 1) {
      const integer = integers[start + k] as number;
      const difference = (integer - previous) | 0;
      previous = integer;
      overs[k] = difference;
      if (difference < least) least = difference;
      if (difference > most) most = difference;
    }
    const width = widthOf((most - least) >>> 0);
    words[used++] = width;
    words[used++] = least;
    used = bitsInto(length, width, least, used);
  }
  return used;
}

/** The same for `mantissas`; -1 where a difference does not fit 32 bits. */
function wideBlocks(count: number, from: number): number {
  let used = from;
  for (let start = 1; start < count; start += block) {
    const length = Math.min(block, count - start);
    let least = Number.POSITIVE_INFINITY;
    let most = Number.NEGATIVE_INFINITY;
    for (let k = start; k < start + length; k += 1) {
      const difference = (mantissas[k] as number) - (mantissas[k - 1] as number);
      overs[k - start] = difference;
      least = Math.min(least, difference);
      most = Math.max(most, difference);
    }
    if (least < -(2 ** 31) || least >= 2 ** 31 || most - least >= 2 ** 32) return -1;
    const width = widthOf(most - least);
    words[used++] = width;
    words[used++] = least;
    used = bitsInto(length, width, least, used);
  }
  return used;
}

const widthOf = (range: number): number => (range === 0 ? 0 : 32 - Math.clz32(range));

/** Packs the differences in `overs`, each less the least one, modulo 2^32. */
function bitsInto(length: number, width: number, least: number, from: number): number {
  let used = from;
  if (width === 0) return used;
  let word = 0;
  let bits = 0;
  for (let k = 0; k < length; k += 1) {
    const over = ((overs[k] as number) - least) >>> 0;
    word |= over << bits;
    const next = bits + width;
    if (next < 32) bits = next;
    else {
      words[used++] = word;
      word = next > 32 ? over >>> (32 - bits) : 0;
      bits = next - 32;
    }
  }
  if (bits > 0) words[used++] = word;
  return used;
}

function plainBlob(values: Float64Array, count: number): Buffer {
  const blob = blobOf(kinds.plain, 0, 0, count, 2 * count, 0);
  blob.set(new Uint8Array(values.buffer, values.byteOffset, 8 * count), headBytes);
  return blob;
}

function blobOf(kind: number, decimals: number, flags: number, count: number, used: number, first: number) {
  const blob = Buffer.from(new ArrayBuffer(headBytes + 4 * used));
  blob.writeUInt32LE(magic | (version << 24), 0);
  blob[4] = kind;
  blob[5] = decimals;
  blob[6] = flags;
  blob.writeUInt32LE(count, 8);
  blob.writeUInt32LE(used, 12);
  blob.writeDoubleLE(first, 16);
  return blob;
}

/** How many values a chunk holds. A chunk that is not whole is a fault of the journal. */
export function countIn(blob: Buffer): number {
  const isOurs = blob.length >= headBytes && (blob.readUInt32LE(0) & 0xffffff) === magic;
  if (!isOurs || blob[3] !== version)
    throw new Error("A stored chunk of a trace is not one this program wrote.");
  if (blob.length !== headBytes + 4 * blob.readUInt32LE(12))
    throw new Error("A stored chunk of a trace is cut.");
  const count = blob.readUInt32LE(8);
  if (count > mostChunk) throw new Error("A stored chunk of a trace says that it holds more than one may.");
  return count;
}

/** Unpacks a chunk into `into` from `at` on; gives how many values it held. */
export function unpackInto(stored: Buffer, into: Float64Array, at: number): number {
  const count = countIn(stored);
  if (stored[4] === kinds.empty) {
    into.fill(Number.NaN, at, at + count);
    return count;
  }
  const blob = aligned(stored);
  if (blob[4] === kinds.plain) {
    into.set(new Float64Array(blob.buffer, blob.byteOffset + headBytes, count), at);
    return count;
  }
  const flags = blob[6] ?? 0;
  const body = new Uint32Array(blob.buffer, blob.byteOffset + headBytes, blob.readUInt32LE(12));
  const from = (flags & withGaps) === 0 ? 0 : Math.ceil(count / 32);
  const first = blob.readDoubleLE(16);
  const power = powers[blob[5] ?? 0] as number;
  if ((flags & narrow) !== 0) narrowInto(body, from, count, first, power, into, at);
  else wideInto(body, from, count, first, power, into, at);
  if (from > 0) gapsInto(body, count, into, at);
  return count;
}

/** Typed arrays of doubles lie on multiples of eight; a blob from elsewhere is copied there. */
function aligned(blob: Buffer): Buffer {
  if (blob.byteOffset % 8 === 0) return blob;
  const copy = Buffer.from(new ArrayBuffer(blob.length));
  copy.set(blob);
  return copy;
}

/** Integers that stay within 32 bits are summed as such, which is what makes unpacking cheap. */
function narrowInto(
  body: Uint32Array,
  from: number,
  count: number,
  first: number,
  power: number,
  into: Float64Array,
  at: number,
): void {
  let previous = first | 0;
  let used = from;
  let target = at;
  into[target++] = previous / power;
  const end = at + count;
  while (target < end) {
    const stop = Math.min(target + block, end);
    const width = body[used++] as number;
    const least = (body[used++] as number) | 0;
    if (width === 0) {
      for (; target < stop; target += 1) {
        previous = (previous + least) | 0;
        into[target] = previous / power;
      }
      continue;
    }
    const mask = width === 32 ? -1 : (1 << width) - 1;
    let word = body[used++] as number;
    let bits = 0;
    for (; target < stop; target += 1) {
      let over = word >>> bits;
      const next = bits + width;
      if (next < 32) bits = next;
      else {
        bits = next - 32;
        if (bits > 0 || target + 1 < stop) word = body[used++] as number;
        if (bits > 0) over |= word << (width - bits);
      }
      previous = (previous + least + (over & mask)) | 0;
      into[target] = previous / power;
    }
  }
}

function wideInto(
  body: Uint32Array,
  from: number,
  count: number,
  first: number,
  power: number,
  into: Float64Array,
  at: number,
): void {
  let previous = first;
  let used = from;
  let target = at;
  into[target++] = previous / power;
  const end = at + count;
  while (target < end) {
    const stop = Math.min(target + block, end);
    const width = body[used++] as number;
    const least = (body[used++] as number) | 0;
    const mask = width === 32 ? -1 : (1 << width) - 1;
    let word = width === 0 ? 0 : (body[used++] as number);
    let bits = 0;
    for (; target < stop; target += 1) {
      let over = word >>> bits;
      const next = bits + width;
      if (next < 32) bits = next;
      else {
        bits = next - 32;
        if (bits > 0 || target + 1 < stop) word = body[used++] as number;
        if (bits > 0) over |= word << (width - bits);
      }
      previous += least + ((over & mask) >>> 0);
      into[target] = previous / power;
    }
  }
}

function gapsInto(body: Uint32Array, count: number, into: Float64Array, at: number): void {
  for (let i = 0; i < count; i += 1) {
    if ((((body[i >>> 5] as number) >>> (i & 31)) & 1) === 0) into[at + i] = Number.NaN;
  }
}
