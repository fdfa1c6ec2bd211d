import { describe, expect, it } from "vitest";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { readLog } from "./readLog.ts";

const nothing = Number.NaN;
const plain = "Time [s],Core temp [°C],Power [W]\n0,40.5,20\n1,41,150.25\n2,43.25,151\n3,45,149\n";

describe("openSensorLog", () => {
  it("reads the same rows whatever separator, decimal sign, encoding and line end a log has", async () => {
    const expected = { temperature: [40.5, 41, 43.25, 45], power: [20, 150.25, 151, 149] };
    const german = plain.replaceAll(",", ";").replaceAll(".", ",");
    const utf16be = Buffer.from(`\ufeff${plain}`, "utf16le").swap16();
    const writings: Record<string, string | Buffer> = {
      comma: plain,
      semicolon: plain.replaceAll(",", ";"),
      tab: plain.replaceAll(",", "\t"),
      "decimal comma": german,
      "decimal comma and tab": german.replaceAll(";", "\t"),
      "decimal comma in quotes": plain.replace(/(\d+)\.(\d+)/g, '"$1,$2"'),
      "with a mark": `\ufeff${plain}`,
      "Latin-1": Buffer.from(plain, "latin1"),
      "UTF-16 little-endian with a mark": Buffer.from(`\ufeff${plain}`, "utf16le"),
      "UTF-16 little-endian without a mark": Buffer.from(plain, "utf16le"),
      "UTF-16 big-endian": utf16be,
      "Windows line ends": plain.replaceAll("\n", "\r\n"),
      "old line ends": plain.replaceAll("\n", "\r"),
      quoted: plain.replace(/[^,\n]+/g, '"$&"'),
      "spaces around": plain.replaceAll(",", " , "),
      "a title above": `Bench log of the fourth of May\n\n${plain}`,
      "a separator at each line's end": plain.replaceAll("\n", ",\n"),
    };
    for (const [name, log] of Object.entries(writings)) {
      for (const pieceBytes of [1, 7, 4096]) {
        const read = await readLog(log, { pieceBytes });
        expect([name, read.t, read.channels]).toEqual([name, [0, 1, 2, 3], expected]);
      }
    }
  });

  it("keeps blank, text and infinite cells as missing, and tells nothing of them", async () => {
    const read = await readLog(
      "Time [s],Temp [°C]\n0,40\n1,\n2,n/a\n3,NaN\n4,inf\n5,-Infinity\n6,1e999\n7,41e0\n",
    );
    expect(read.channels.temperature).toEqual([40, nothing, nothing, nothing, nothing, nothing, nothing, 41]);
    expect(read.skipped).toEqual([]);
  });

  it("leaves out a repeated header and short rows, and tells the line, counted from 1 at the header", async () => {
    const read = await readLog(
      "Time [s],Temp [°C]\n0,40\n1,41\nTime [s],Temp [°C]\n2,42\n\n3\n4,44\n5,45,46\n6,46\n",
    );
    expect(read.t).toEqual([0, 1, 2, 4, 6]);
    expect(read.skipped).toEqual([
      { line: 4, because: "It repeats the header." },
      { line: 7, because: "It has 1 cell where the header has 2." },
      { line: 9, because: "It has 3 cells where the header has 2." },
    ]);
  });

  it("keeps a complete last line without a line end, and leaves out a torn one and says so", async () => {
    const whole = await readLog(plain.trimEnd());
    expect(whole.t).toEqual([0, 1, 2, 3]);
    const torn = await readLog(`${plain}4,46`);
    expect(torn.t).toEqual([0, 1, 2, 3]);
    expect(torn.skipped).toEqual([{ line: 6, because: "It is torn off." }]);
  });

  it("steps over the zero bytes that a crash leaves at the end", async () => {
    const read = await readLog(Buffer.concat([Buffer.from(`${plain}4,46`), Buffer.alloc(70_000)]));
    expect(read.t).toEqual([0, 1, 2, 3]);
    expect(read.skipped).toEqual([{ line: 6, because: "It has 2 cells where the header has 3." }]);
  });

  it("reads clocks over midnight and over both ends of daylight saving", async () => {
    const clock = (...times: string[]) =>
      readLog(`Time,Temp\n${times.map((time) => `${time},40\n`).join("")}`);
    const midnight = await clock("23:59:58", "23:59:59", "00:00:00", "00:00:01");
    expect(midnight.t).toEqual([0, 1, 2, 3]);
    expect(midnight.adjusted).toEqual([{ line: 4, because: "The clock passed midnight." }]);
    const autumn = await clock("02:59:58", "02:59:59", "02:00:00", "02:00:01");
    expect(autumn.t).toEqual([0, 1, 2, 3]);
    const spring = await clock("01:59:58", "01:59:59", "03:00:00", "03:00:01");
    expect(spring.t).toEqual([0, 1, 2, 3]);
    const gap = await clock("14:00:00", "14:00:01", "15:00:02", "15:00:03");
    expect(gap.t).toEqual([0, 1, 3602, 3603]);
    const evening = await clock("11:59:59.5 PM", "12:00:00.5 AM", "12:00:01.5 AM", "12:00:02.5 AM");
    expect(evening.t).toEqual([0, 1, 2, 3]);
  });

  it("reads ISO 8601 with and without an offset, seconds, milliseconds and a counter at a fixed rate", async () => {
    const rows = (name: string, ...times: string[]) =>
      readLog(`${name},Temp\n${times.map((time) => `${time},40\n`).join("")}`);
    const zoned = [
      "2031-03-30T01:59:59+01:00",
      "2031-03-30T03:00:00.500+02:00",
      "2031-03-30T01:00:01Z",
      "20310330T010002Z",
    ];
    expect((await rows("stamp", ...zoned)).t).toEqual([0, 1.5, 2, 3]);
    const local = [
      "2031-10-26 02:59:59",
      "2031-10-26 02:00:00",
      "2031-10-26 02:00:01",
      "2031-10-26 02:00:02.25",
    ];
    expect((await rows("Date", ...local)).t).toEqual([0, 1, 2, 3.25]);
    const atNight = (zone: string) =>
      ["01:59:58", "01:59:59", "03:00:00", "03:00:01"].map((at) => `${at}${zone}`);
    const iso = (zone: string) => atNight(zone).map((clock) => `2031-03-30T${clock}`);
    const dated = (zone: string) => atNight(zone).map((clock) => `30.03.2031 ${clock}`);
    for (const spring of [iso(""), dated("")])
      expect((await rows("Date", ...spring)).t).toEqual([0, 1, 2, 3]);
    for (const gap of [iso("Z"), dated(" UTC")])
      expect((await rows("Date", ...gap)).t).toEqual([0, 1, 3602, 3603]);
    expect((await rows("Time (ms)", "1000", "1500", "2000", "2500")).t).toEqual([0, 0.5, 1, 1.5]);
    expect(
      (await rows("timestamp", "1900000000000", "1900000000250", "1900000000500", "1900000000750")).t,
    ).toEqual([0, 0.25, 0.5, 0.75]);
    const matches = [
      { column: "No.", channel: "time", unit: "count", everyS: 0.5 },
      { column: "Temp", channel: "temperature", unit: "°C", everyS: null },
    ];
    expect((await readLog("No.,Temp\n1,40\n2,41\n3,42\n4,43\n", { matches })).t).toEqual([0, 0.5, 1, 1.5]);
  });

  it("leaves out a stray time, and carries on where the time truly starts over", async () => {
    const stray = await readLog("Time [s],Temp\n100,40\n101,40\n7,40\n102,41\n103,42\n");
    expect(stray.t).toEqual([0, 1, 2, 3]);
    expect(stray.skipped).toEqual([{ line: 4, because: "Its time lies before that of the line above." }]);
    const again = await readLog("Time [s],Temp\n100,40\n101,40\n102,41\n0,40\n1,42\n2,43\n");
    expect(again.t).toEqual([0, 1, 2, 3, 4]);
    expect(again.adjusted.map(({ line }) => line)).toEqual([6]);
  });

  it("turns units into those that are kept", async () => {
    const read = await readLog(
      "Time [s],CPU temp [°F],Vcore [V],Core clock [GHz],Throttled\n0,212,1.18,4.7,No\n1,213.8,1.185,4.725,yes\n2,32,1.2,4.65,0\n3,32,1.2,4.65,1\n",
    );
    expect(read.channels).toEqual({
      temperature: [100, 101, 0, 0],
      voltage: [1180, 1185, 1200, 1200],
      clock: [4700, 4725, 4650, 4650],
      throttle: [0, 1, 0, 1],
    });
  });
});

describe("a log that cannot be used is refused in a sentence", () => {
  const manyColumns = Array.from({ length: 10_000 }, (_, at) => `c${at}`).join(",");
  const cases: readonly (readonly [string, string | Buffer, RegExp])[] = [
    ["empty", "", /empty/],
    ["blank lines only", "\n\n  \n", /empty/],
    ["header only", "Time [s],Temp\n", /no rows/],
    ["header only, no line end", "Time [s],Temp", /no rows/],
    ["no header", "1,2\n3,4\n5,6\n7,8\n", /no header/],
    ["rows that do not agree", "1,2\n3,4,5\n6\n7,8,9\n10,11,12,13\n", /rows do not agree/],
    ["one column", "Temp\n40\n41\n42\n43\n", /one column/],
    ["no time column", "Fan,Temp\n1000,40\n1001,41\n1002,42\n1003,43\n", /time/],
    ["10,000 columns", `${manyColumns}\n${manyColumns}\n`, /10,000 columns; at most 1,000/],
    ["a line of 2 MB", `Time,Temp\n0,${"4".repeat(2_000_000)}\n1,2\n`, /longer than 1,048,576 bytes/],
    ["a first line of 2 MB", "x".repeat(2_000_000), /longer than 1,048,576 bytes/],
    ["one row", "Time [s],Temp\n0,40\n", /1 row; at least 2/],
    ["one row and one torn off", "Time [s],Temp\n0,40\n1", /1 row; at least 2 .*Line 3.*torn/],
    [
      "nothing but NaN and infinities",
      "Time [s],Temp\n0,NaN\n1,inf\n2,-inf\n3,nan\n",
      /No number|at least one/,
    ],
    ["a zip", Buffer.from("504b03041400000008000000", "hex"), /zip archive/],
    ["a database", Buffer.from("SQLite format 3\u0000and more"), /database/],
    [
      "random bytes",
      Buffer.from(Array.from({ length: 5000 }, (_, at) => (at * 7919) % 256)),
      /not text|no header|one column/,
    ],
  ];
  for (const [name, log, words] of cases) {
    it(name, async () => {
      const refusal = await readLog(log).then(
        () => undefined,
        (error: unknown) => error,
      );
      expect(refusal).toMatchObject({ name: "Refusal" });
      expect((refusal as Error).message).toMatch(words);
      expect((refusal as Error).message).toMatch(/\.$/);
    });
  }

  it("names the limit that is passed, in bytes and in rows", async () => {
    await expect(readLog(plain, { limits: { bytes: 20 } })).rejects.toThrow("larger than 20 bytes");
    await expect(readLog(plain, { limits: { rows: 2 } })).rejects.toThrow("more than 2 rows");
    const wordy = `Time [s],Temp [°C],Note\n${[0, 1, 2, 3].map((at) => `${at},40,${"x".repeat(40_000)}\n`).join("")}`;
    expect((await readLog(wordy, { limits: { lineBytes: 60_000 } })).t).toEqual([0, 1, 2, 3]);
    await expect(readLog(wordy, { limits: { lineBytes: 30_000 } })).rejects.toThrow(/line 2/i);
  });
});

/** A log of every kind of cell, and times of every writing, at random. */
function randomLog(seed: number): { log: string; pieceBytes: number } {
  const random = seededRandom(seed);
  const pick = <T>(...some: readonly T[]): T => some[random.index(some.length)] as T;
  const separator = pick(",", ";", "\t");
  const decimal = separator === "," ? "." : pick(".", ",");
  const writing = pick("seconds", "clock", "iso");
  const end = pick("\n", "\r\n");
  const number = (): string => {
    const digits = random.index(7);
    const text = (random.normal() * 10 ** random.index(5)).toFixed(digits);
    return text.replace(".", decimal);
  };
  const cell = (): string => {
    const kind = random.uniform();
    if (kind < 0.8) return number();
    return pick(
      "",
      " ",
      "n/a",
      "-",
      "+5",
      ".",
      "1e3",
      '"7"',
      '"a""b"',
      " 8 ",
      "12345678901234567890",
      "-0",
      "5.",
      ".5",
      "1.2.3",
      "NaN",
      "1,234",
      '"',
      "٣",
    );
  };
  const time = (row: number): string => {
    if (writing === "seconds") return (row * 0.5).toFixed(pick(1, 3)).replace(".", decimal);
    const seconds = 86_390 + row;
    const clock = new Date(seconds * 1000).toISOString();
    return writing === "iso"
      ? clock.slice(0, 23).replace("T", pick(" ", "T"))
      : clock.slice(11, pick(19, 23));
  };
  const width = 1 + random.index(4);
  const header = [
    "Time",
    ...Array.from({ length: width }, (_, at) => `Reading ${String.fromCharCode(65 + at)}`),
  ].join(separator);
  const rows = Array.from({ length: 12 + random.index(40) }, (_, row) => {
    const cells = [time(row), ...Array.from({ length: width }, cell)];
    if (random.uniform() < 0.05) cells.pop();
    return random.uniform() < 0.03 ? header : cells.join(separator);
  });
  return { log: [header, ...rows].join(end) + pick("", end), pieceBytes: 1 + random.index(300) };
}

describe("the fast reader", () => {
  it("gives the same rows as the tolerant one", async () => {
    let compared = 0;
    for (let seed = 1; seed <= 600; seed += 1) {
      const { log, pieceBytes } = randomLog(seed);
      const outcome = (tolerantOnly: boolean) =>
        readLog(log, { pieceBytes, tolerantOnly }).catch((error: Error) => `${error.name}: ${error.message}`);
      const [fast, tolerant] = [await outcome(false), await outcome(true)];
      expect(fast).toEqual(tolerant);
      if (typeof fast !== "string") compared += fast.t.length;
    }
    expect(compared).toBeGreaterThan(8_000);
  });
});
