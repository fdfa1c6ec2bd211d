import { equivalentsInBench } from "./equivalentsInBench.ts";

/** A change that changes nothing anyone could see, by the trimmed line before and after, with its reason. */
export type Equivalent = Readonly<{ file: string; line: string; becomes: string; because: string }>;

export const equivalents: readonly Equivalent[] = [
  ...equivalentsInBench,
  {
    file: "server/store/traces/traceWindows.ts",
    line: "return kept === undefined ? emptyBuckets(to - from).min : leastIn(kept, from, to);",
    becomes: "return kept === undefined ? emptyBuckets(to - from).max : leastIn(kept, from, to);",
    because: "of empty buckets both are nothing",
  },
  {
    file: "server/store/traces/traceBlob.ts",
    line: "let word = width === 0 ? 0 : (body[used++] as number);",
    becomes: "let word = width === 0 ? 1 : (body[used++] as number);",
    because: "a width of nothing masks every bit of it away",
  },
  {
    file: "server/csv/lineScanner.ts",
    line: "if (hours < 0 || minutes < 0 || whole < 0 || minutes > 59 || whole > 60) return -1;",
    becomes: "if (hours < 0 || minutes < 0 || whole < 0 || minutes >= 59 || whole > 60) return -1;",
    because: "a line that is not plain goes to the tolerant reader, which reads the same of it",
  },
  {
    file: "server/csv/lineScanner.ts",
    line: "if (hours < 0 || minutes < 0 || whole < 0 || minutes > 59 || whole > 60) return -1;",
    becomes: "if (hours < 0 || minutes < 0 || whole < 0 || minutes > 59 || whole >= 60) return -1;",
    because: "a line that is not plain goes to the tolerant reader, which reads the same of it",
  },
  {
    file: "server/csv/momentCell.ts",
    line: 'if (zone === "UTC") return 0;',
    becomes: 'if (false && (zone === "UTC")) return 0;',
    because: "the platform's own calendar says the same of UTC",
  },
  {
    file: "server/store/file/examination.ts",
    line: "const schemas = Buffer.alloc(4);",
    becomes: "const schemas = Buffer.alloc(8);",
    because: "four bytes of it are written either way",
  },
  {
    file: "server/csv/lineScanner.ts",
    line: "const zero = 48;",
    becomes: "const zero = 96;",
    because: "a line that is not plain goes to the tolerant reader, which reads the same of it",
  },
  {
    file: "server/store/file/logMark.ts",
    line: "if (remembered) return;",
    becomes: "if (false && (remembered)) return;",
    because: "only who alone clears the mark remembers it, and would find it in the file again",
  },
  {
    file: "server/csv/rowReader.ts",
    line: "for (let row = 0; row < rows; row += 1)",
    becomes: "for (let row = 0; row <= rows; row += 1)",
    because: "what lies behind the rows read is written anew before anybody reads it",
  },
  {
    file: "server/csv/rowPlan.ts",
    line: "const timeAt = time.column === uncounted ? -1 : placeOf(shape, time);",
    becomes: "const timeAt = time.column === uncounted ? -2 : placeOf(shape, time);",
    because: "any place before the first says that no column holds the time",
  },
  {
    file: "server/csv/lineScanner.ts",
    line: "if (century < 0 || year < 0 || month < 0 || day < 0) return -1;",
    becomes: "if (century < 0 || year < 0 || month < 0 || day < 1) return -1;",
    because: "a line that is not plain goes to the tolerant reader, which reads the same of it",
  },
  {
    file: "server/store/parts/versions.ts",
    line: "const orderOf = (version: Version) => (version.since === null ? -1 : toMs(version.since));",
    becomes: "const orderOf = (version: Version) => (version.since === null ? -2 : toMs(version.since));",
    because: "no version is as old as 1970, so either stands before all",
  },
  {
    file: "server/csv/lineScanner.ts",
    line: "const month = pair(bytes, start + 5);",
    becomes: "const month = pair(bytes, start + 10);",
    because:
      "there stands no month of a plain line, and one that is not plain the tolerant reader reads the same",
  },
  {
    file: "server/csv/lineScanner.ts",
    line: "while (byte >= zero && byte <= nine) {",
    becomes: "while (byte > zero && byte <= nine) {",
    because: "a line that is not plain goes to the tolerant reader, which reads the same of it",
  },
  {
    file: "server/csv/rowPlan.ts",
    line: "if (first === undefined) return false;",
    becomes: "if (first === undefined) return true;",
    because: "a column without a first cell has no row to be placed",
  },
  {
    file: "server/store/traces/traceWindows.ts",
    line: "if (time === undefined) return undefined;",
    becomes: "if (false && (time === undefined)) return undefined;",
    because: "no trace is kept without its time",
  },
  {
    file: "server/store/rows/ids.ts",
    line: "bytes[6] = 0x70 | ((bytes[6] ?? 0) & 0x0f);",
    becomes: "bytes[6] = 0x70 | ((bytes[6] ?? 1) & 0x0f);",
    because: "sixteen bytes have a seventh",
  },
  {
    file: "server/csv/lineScanner.ts",
    line: "if (byte === carriageReturn) byte = bytes[at++] as number;",
    becomes: "if (false && (byte === carriageReturn)) byte = bytes[at++] as number;",
    because: "a line that is not plain goes to the tolerant reader, which reads the same of it",
  },
  {
    file: "server/csv/logTime.ts",
    line: "const t = Math.round((written + this.shift - this.origin) * 1e6) / 1e6;",
    becomes: "const t = Math.round((written + this.shift - this.origin) * 1e6) * 1e6;",
    because: "what is not plain is placed the longer way, which comes to the same",
  },
  {
    file: "server/store/traces/overviewBlob.ts",
    line: "while (decimals <= mostDecimals && !fits(value, 10 ** decimals)) decimals += 1;",
    becomes: "while (decimals < mostDecimals && !fits(value, 10 ** decimals)) decimals += 1;",
    because: "what does not fit the most decimals either is found so in the look over all values behind it",
  },
  {
    file: "server/store/traces/traceBlob.ts",
    line: "const words = new Uint32Array(mostChunk + 2 * (mostChunk / block + 1) + mostChunk / 32 + 8);",
    becomes: "const words = new Uint32Array(mostChunk + 2 * (mostChunk * block + 1) + mostChunk / 32 + 8);",
    because: "it is room to work in, and more of it changes nothing",
  },
  {
    file: "server/store/traces/tracePacking.ts",
    line: "const wider = emptyBuckets(buckets.count.length * 2);",
    becomes: "const wider = emptyBuckets(buckets.count.length * 4);",
    because: "it is room to grow into, cut to what is used",
  },
  {
    file: "server/csv/lineScanner.ts",
    line: "let dayKey = -1;",
    becomes: "let dayKey = -2;",
    because: "no day has a number below nothing",
  },
  {
    file: "server/csv/lineScanner.ts",
    line: "if (!isDay(century * 100 + year, month, day)) return -1;",
    becomes: "if (!isDay(century * 100 + year, month, day)) return -2;",
    because: "any place before the first says that the line is not plain",
  },
  {
    file: "server/csv/sensorLog.ts",
    line: "const kept = bytes.filter((byte, at) => byte !== 0 || bytes[at - 1] !== 0);",
    becomes: "const kept = bytes.filter((byte, at) => byte !== 0 || bytes[at + 1] !== 0);",
    because: "of zeros in a row one is kept, the first or the last",
  },
  {
    file: "server/store/file/logMark.ts",
    line: "isSet: () => remembered || (version.get() as number) <= 0,",
    becomes: "isSet: () => remembered || (version.get() as number) <= 1,",
    because: "no journal that is written has one schema alone",
  },
  {
    file: "server/store/rows/ids.ts",
    line: "bytes.set(random.subarray(0, 10), 6);",
    becomes: "bytes.set(random.subarray(0, 20), 6);",
    because: "whoever asks for an id gives ten bytes",
  },
  {
    file: "server/store/traces/traceWindows.ts",
    line: "if (step === 1) return { min: values, max: values, mean: values, count: new Uint32Array(0) };",
    becomes: "if (step === 1) return { min: values, max: values, mean: values, count: new Uint32Array(1) };",
    because: "nobody asks a window for its counts",
  },
  {
    file: "server/store/traces/traceWindows.ts",
    line: "if (step < overviewLevels[0]) return reducedRows(valuesOf(channel, rows), rows.from, step);",
    becomes: "if (step < overviewLevels[1]) return reducedRows(valuesOf(channel, rows), rows.from, step);",
    because: "what the overview holds was reduced from the same values in the same way",
  },
  {
    file: "server/store/traces/traceBlob.ts",
    line: "let most = -(2 ** 31);",
    becomes: "let most = -(2 ** 62);",
    because: "the first difference is greater than either",
  },
  {
    file: "server/store/file/standIns.ts",
    line: "for (let round = 0; round < 6; round++) {",
    becomes: "for (let round = 1; round < 6; round++) {",
    because: "an attempt, its build and the build's parts are settled in fewer rounds than either",
  },
  {
    file: "server/store/parts/chips.ts",
    line: "const unlessEmpty = <Item>(list: readonly Item[]): readonly Item[] | null => (list.length > 0 ? list : null);",
    becomes:
      "const unlessEmpty = <Item>(list: readonly Item[]): readonly Item[] | null => (list.length >= 0 ? list : null);",
    because: "an empty list that is written reads as one that is not",
  },
  {
    file: "server/store/rows/ids.ts",
    line: "for (let i = 0, rest = ms; i < 6; i++, rest = Math.floor(rest / 256)) bytes[5 - i] = rest % 256;",
    becomes:
      "for (let i = 0, rest = ms; i < 12; i++, rest = Math.floor(rest / 256)) bytes[5 - i] = rest % 256;",
    because: "there is no byte before the first",
  },
  {
    file: "server/csv/lineScanner.ts",
    line: "const powers = Float64Array.from({ length: digitsExact + 1 }, (_, exponent) => 10 ** exponent);",
    becomes:
      "const powers = Float64Array.from({ length: digitsExact + 2 }, (_, exponent) => 10 ** exponent);",
    because: "no power above the exact ones is looked up",
  },
  {
    file: "server/store/traces/traceBlob.ts",
    line: "previous = (wide + (wide < 0 ? -0.5 : 0.5)) | 0;",
    becomes: "previous = (wide + (wide < 1 ? -0.5 : 0.5)) | 0;",
    because: "between nothing and one there is no other integer, and of nothing both make nothing",
  },
  {
    file: "server/csv/csvRecords.ts",
    line: "if (!line.includes('\"')) return line.split(separator);",
    becomes: "if (false && (!line.includes('\"'))) return line.split(separator);",
    because: "a line without a quote is cut in the same places the slow way",
  },
  {
    file: "server/store/traces/tracePacking.ts",
    line: "private fromS = 0;",
    becomes: "private fromS = 1;",
    because: "the first chunk sets it, and a log without rows is refused",
  },
  {
    file: "server/store/traces/overviewBlob.ts",
    line: "const scaled = decimals >= 0 ? (value: number) => Math.round(value * power) : (value: number) => value;",
    becomes:
      "const scaled = decimals >= 1 ? (value: number) => Math.round(value * power) : (value: number) => value;",
    because: "whole numbers are kept as they are either way",
  },
];
