/** Changes that change nothing anyone could see, by the trimmed line before and after, each with its reason. */
export const equivalents: readonly Readonly<{
  file: string;
  line: string;
  becomes: string;
  because: string;
}>[] = [
  {
    file: "server/store/traces/traceReading.ts",
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
    file: "server/bench/scale/offsetSearch.ts",
    line: "if (now === undefined) return { rows: [], knobs: null };",
    becomes: "if (false && (now === undefined)) return { rows: [], knobs: null };",
    because: "where there are no trials there is nothing to look through either",
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
    file: "server/bench/limit/sharpnessLearnt.ts",
    line: "for (let step = 0; step < 40; step++) {",
    becomes: "for (let step = 0; step < 80; step++) {",
    because: "after forty halvings of five the ends agree to eleven digits",
  },
  {
    file: "server/bench/limit/sharpnessLearnt.ts",
    line: "for (let step = 0; step < 40; step++) {",
    becomes: "for (let step = 0; step <= 40; step++) {",
    because: "after forty halvings of five the ends agree to eleven digits",
  },
  {
    file: "server/bench/scale/scaleFit.ts",
    line: "if (lastFits.size > mostLastFits) lastFits.delete(lastFits.keys().next().value as string);",
    becomes: "if (lastFits.size >= mostLastFits) lastFits.delete(lastFits.keys().next().value as string);",
    because: "one fit fewer is kept, and the same comes out of fitting it again",
  },
  {
    file: "server/bench/scale/scaleFit.ts",
    line: "const mostLastFits = 32;",
    becomes: "const mostLastFits = 64;",
    because: "more fits are kept, and the same comes out of fitting them again",
  },
  {
    file: "server/bench/comparison/scatter.ts",
    line: "Object.entries(named ?? {}).sort(([one], [other]) => (one < other ? -1 : 1));",
    becomes: "Object.entries(named ?? {}).sort(([one], [other]) => (one < other ? -1 : 2));",
    because: "any number above zero says after",
  },
  {
    file: "server/bench/heat/loadSpan.ts",
    line: "for (let i = 1; i < values.length; i += 1)",
    becomes: "for (let i = 1; i <= values.length; i += 1)",
    because: "an array of fixed length takes nothing beyond its end",
  },
  {
    file: "server/bench/next/leaveRunning.ts",
    line: "if (Math.abs(short) < Infinity) loss += weights[k]! * (short >= 0 ? short : -lossBeyond * short);",
    becomes:
      "if (Math.abs(short) < Infinity) loss += weights[k]! * (short > 0 ? short : -lossBeyond * short);",
    because: "nine times nothing is nothing",
  },
  {
    file: "server/csv/momentCell.ts",
    line: 'if (zone === "UTC") return 0;',
    becomes: 'if (false && (zone === "UTC")) return 0;',
    because: "the platform's own calendar says the same of UTC",
  },
  {
    file: "server/bench/limit/limitReach.ts",
    line: "return depth === 0 ? heat : heat.map((cost, k) => cost * (1 - turn[k]! * depth));",
    becomes: "return depth === 1 ? heat : heat.map((cost, k) => cost * (1 - turn[k]! * depth));",
    because: "of no depth nothing is taken off either",
  },
  {
    file: "server/bench/next/nextDesk.ts",
    line: "return fitting.length > 0 ? fitting : [trialMinutes[0]];",
    becomes: "return fitting.length > 1 ? fitting : [trialMinutes[0]];",
    because: "where one fits alone it is the shortest",
  },
  {
    file: "server/bench/best/bestSetting.ts",
    line: "if (ranMhz === null) return null;",
    becomes: "if (false && (ranMhz === null)) return null;",
    because: "every clock lies above one that never ran, so none is answered either",
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
    file: "server/bench/pictures/pictureOrientation.ts",
    line: "if (start + 2 > tiff.length) return 1;",
    becomes: "if (start + 4 > tiff.length) return 1;",
    because: "a directory cut off within its first entry says nothing either way",
  },
  {
    file: "server/bench/next/voltageMap.ts",
    line: "const off = clocks[k]! - meanMhz;",
    becomes: "const off = clocks[k]! + meanMhz;",
    because: "a variance is the same about whatever point its sums are taken",
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
    file: "server/bench/document/account.ts",
    line: ".sort(([a], [b]) => (a < b ? -1 : 1)),",
    becomes: ".sort(([a], [b]) => (a < b ? -1 : 2)),",
    because: "any number above zero says after",
  },
  {
    file: "server/bench/next/ladderTrial.ts",
    line: "if (total > 1e-12) expected += total * entropyOf(joint.map((mass) => mass / total));",
    becomes: "if (total >= 1e-12) expected += total * entropyOf(joint.map((mass) => mass / total));",
    because: "an end that is so unlikely tells less than rounding does",
  },
  {
    file: "server/bench/heat/hotspotOverEdge.ts",
    line: "if (place === undefined) return null;",
    becomes: "if (false && (place === undefined)) return null;",
    because: "no row was read at a place without a name, so nothing is answered either",
  },
  {
    file: "server/bench/next/trialForecast.ts",
    line: "for (let k = 0; k < left.length; k++) left[k] = Math.min(left[k]! * starting[k]!, surviving[k]!);",
    becomes:
      "for (let k = 0; k <= left.length; k++) left[k] = Math.min(left[k]! * starting[k]!, surviving[k]!);",
    because: "an array of fixed length takes nothing beyond its end",
  },
  {
    file: "server/bench/limit/errorRate.ts",
    line: "counts: column(({ errors }) => errors ?? 0),",
    becomes: "counts: column(({ errors }) => errors ?? 1),",
    because: "only records that counted errors stand in the columns",
  },
  {
    file: "server/bench/limit/limitReach.ts",
    line: "const power = riseC > 0 && further > 0 ? Math.log(further / riseC) / Math.log(1.1) : 0;",
    becomes: "const power = riseC > 0 && further > 0 ? Math.log(further / riseC) / Math.log(1.1) : 1;",
    because: "where nothing rises no power of the clock makes it more",
  },
  {
    file: "server/bench/limit/placing.ts",
    line: "return beside.length === 0 ? records : [...records, ...beside];",
    becomes: "return beside.length === 1 ? records : [...records, ...beside];",
    because: "no record has one side alone, and a copy of the records says the same",
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
    file: "server/bench/limit/errorRate.ts",
    line: "counts: column(({ errors }) => errors ?? 0),",
    becomes: "counts: column(({ errors }) => errors ?? 1),",
    because: "only records that counted are among the columns",
  },
  {
    file: "server/csv/rowPlan.ts",
    line: "if (first === undefined) return false;",
    becomes: "if (first === undefined) return true;",
    because: "a column without a first cell has no row to be placed",
  },
  {
    file: "server/bench/limit/limitReach.ts",
    line: "for (let step = 0; step < 3; step++) {",
    becomes: "for (let step = 0; step <= 3; step++) {",
    because: "a fourth step of Newton moves a clock by less than a millionth",
  },
  {
    file: "server/store/traces/traceReading.ts",
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
    file: "server/bench/limit/hotTables.ts",
    line: "const place = Math.min(Math.max((logHazardPerC - lowest) / apart, 0.5), columns - 1.5 - 1e-9);",
    becomes: "const place = Math.min(Math.max((logHazardPerC - lowest) / apart, 0.5), columns - 1.5 - 2e-9);",
    because: "a billionth of a column more or less from its edge is the same column",
  },
  {
    file: "server/csv/lineScanner.ts",
    line: "if (byte === carriageReturn) byte = bytes[at++] as number;",
    becomes: "if (false && (byte === carriageReturn)) byte = bytes[at++] as number;",
    because: "a line that is not plain goes to the tolerant reader, which reads the same of it",
  },
  {
    file: "server/bench/limit/sharpnessLearnt.ts",
    line: "const reach = 3;",
    becomes: "const reach = 6;",
    because: "cells farther out weigh next to nothing, and wider ones sum to the same within a hundredth",
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
    file: "server/store/traces/traceReading.ts",
    line: "if (step === 1) return { min: values, max: values, mean: values, count: new Uint32Array(0) };",
    becomes: "if (step === 1) return { min: values, max: values, mean: values, count: new Uint32Array(1) };",
    because: "nobody asks a window for its counts",
  },
  {
    file: "server/store/traces/traceReading.ts",
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
    file: "server/bench/heat/heatTrace.ts",
    line: "let to = Math.max(from, firstAtOrAfter(t, toS));",
    becomes: "let to = Math.min(from, firstAtOrAfter(t, toS));",
    because: "the loop below goes on to the same row, and between a start and an earlier end lies nothing",
  },
  {
    file: "server/bench/next/ladderTrial.ts",
    line: "const count = Math.floor((high - low) / stride) + 2;",
    becomes: "const count = Math.floor((high - low) / stride) + 4;",
    because: "a bin that holds no answer adds nothing to what is not known",
  },
  {
    file: "server/csv/lineScanner.ts",
    line: "const powers = Float64Array.from({ length: digitsExact + 1 }, (_, exponent) => 10 ** exponent);",
    becomes:
      "const powers = Float64Array.from({ length: digitsExact + 2 }, (_, exponent) => 10 ** exponent);",
    because: "no power above the exact ones is looked up",
  },
];
