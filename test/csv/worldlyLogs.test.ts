import { describe, expect, it } from "vitest";
import type { ColumnMatch } from "../../server/bench/logs/columnMatch.ts";
import { readLog } from "./readLog.ts";

const temps = [40, 41.5, 43, 44.5];
const match = (column: string | number, channel: string, unit = "", more: object = {}): ColumnMatch => ({
  ...{ column, channel, unit, everyS: null },
  ...more,
});
const withTimes = (name: string, times: readonly string[], matches?: readonly ColumnMatch[]) =>
  readLog(
    `${name};Temp [°C]\n${times.map((time, i) => `${time};${temps[i]}\n`).join("")}`,
    matches && { matches },
  );
const expectRead = (read: { t: number[]; channels: Record<string, number[]> }) => {
  expect(read.t).toEqual([0, 1, 2, 3]);
  expect(read.channels.temperature).toEqual(temps);
};

describe("a log as the world writes it", () => {
  it("a group line stands above the header", async () => {
    expectRead(
      await readLog(
        `,Chip,,Board\nTime [s],Temp [°C],Power [W],VRM temp [°C]\n${temps.map((c, i) => `${i},${c},100,50\n`).join("")}`,
      ),
    );
    const blanks = `---when--- ---chip---- --fan--\n  time       temp         rpm\n${temps.map((c, i) => `     ${i}      ${c}       ${900 + i}\n`).join("")}`;
    expectRead(await readLog(blanks));
  });

  it("a line of units stands under the names, under a group line or not", async () => {
    const rows = temps.map((c, i) => `${i};${c};0,98\n`.replaceAll(".", ",")).join("");
    const read = await readLog(`Time;Chip temp;Package\n;°C;[kW]\n${rows}`);
    expectRead(read);
    expect(read.channels.power).toEqual([980, 980, 980, 980]);
    const grouped = temps.map((c, i) => `${i},x,${c},100,50\n`).join("");
    const below = await readLog(`,,Chip,,Board\nTime,,Temp,Power,VRM temp\ns,,°C,W,°C\n${grouped}`);
    expectRead(below);
    expect(below.channels.supply).toEqual([50, 50, 50, 50]);
    const ofDates = await readLog(
      `Recorded,here\nDate,Clock\n${temps.map((c, i) => `28.11.2031 10:00:0${i},${c}\n`).join("")}`,
    );
    expect(Object.keys(ofDates.channels)).toEqual(["clock"]);
  });

  it("a single unit stands under its name where the time has none", async () => {
    expectRead(await readLog(`Time;Temp\n;K\n${temps.map((c, i) => `${i};${c + 273.15}\n`).join("")}`));
  });

  it("a row of another width does not have a log taken apart at the blanks within its cells", async () => {
    const rows = temps.map((c, i) => `5/24/2031 10:00:0${i}|${c}\n`).join("");
    expectRead(await readLog(`Date|Chip temp\n${rows}5/24/2031 10:00:09|40|7\n`));
  });

  it("rows that begin with a clock are no header, whatever a blank in them leaves", async () => {
    for (const time of ["13:04:0# ", "1:04:0# PM", "2031-05-04 13:04:0#"]) {
      const rows = temps.map((c, i) => `${time.replace("#", `${i}`)},${c},${i},7\n`).join("");
      expectRead(await readLog(rows, { matches: [match(1, "time"), match(2, "temperature")] }));
    }
    const begun = await readLog(
      `13:04:00,Temp,Power\n${temps.map((c, i) => `13:04:0${i},${c},9\n`).join("")}`,
    );
    expectRead(begun);
  });

  it("a bare number among numbers with their unit has the unit of the others", async () => {
    const read = await readLog(`Time,Power\n0,12000 mW\n1,13000 mW\n2,14000 mW\n3,15000 m`.slice(0, -2));
    expect(read.channels.power).toEqual([12, 13, 14, 15]);
  });

  it("a hash marks the line of names, before the first or as a cell of its own", async () => {
    const rows = temps.map((c, i) => `${i} ${c}\n`).join("");
    expectRead(await readLog(`# time temp\n${rows}`));
    expectRead(await readLog(`#time temp\n${rows}`));
    expectRead(await readLog(`# Time [s],Temp [°C]\n${rows.replaceAll(" ", ",")}`));
    const counted = temps.map((c, i) => `${i + 1},${i},${c}\n`).join("");
    expectRead(await readLog(`#,Time [s],Temp [°C]\n${counted}`));
  });

  it("blanks or pipes stand between columns", async () => {
    expectRead(
      await readLog(`time    temp  fan\n${temps.map((c, i) => `   ${i}   ${c}   1200\n`).join("")}`),
    );
    expectRead(
      await readLog(
        `| time | temp | fan |\n|------|------|-----|\n${temps.map((c, i) => `| ${i} | ${c} | 1200 |\n`).join("")}`,
      ),
    );
    const ruler = "+------+------+\n";
    expectRead(
      await readLog(
        `${ruler}| time | temp |\n${ruler}${temps.map((c, i) => `|    ${i} | ${c} |\n`).join("")}${ruler}`,
      ),
    );
  });

  it("the header repeats, and averages stand at the end", async () => {
    const rows = temps.map((c, i) => `10:00:0${i}   all   ${c}   100\n`);
    const header = "10:00:00   core   temp   watts\n";
    const read = await readLog(
      `${header}${rows.slice(0, 2).join("")}\n${header}${rows.slice(2).join("")}\nAverage:   all   42.25   100\n`,
    );
    expectRead(read);
    expect(read.skipped.map(({ line }) => line)).toEqual([5, 9]);
  });

  it("a page of totals stands above each row, with its header, and says how long the machine has been up", async () => {
    const page = (
      c: number,
      i: number,
    ): string => `all - 10:00:0${i} up 39 min,  0 user,  load average: 4.${i}0, 3.1, 2
Tasks:   1 total,   0 running,   1 sleeping,   0 stopped,   0 zombie
%Busy:  0.0 us,  0.0 sy,  0.0 ni,100.0 id,  0.0 wa,  0.0 hi,  0.0 si,  0.0 st

  PID USER   S  Temp COMMAND
    1 root   S  ${c}   init

`;
    const everyS = { everyS: 1 };
    expectRead(
      await readLog(temps.map(page).join(""), {
        matches: [match("", "time", "count", everyS), match("Temp", "temperature", "°C")],
      }),
    );
    expectRead(
      await readLog(`Time,5 min,15 min\n${temps.map((c, i) => `${i},${c},12.1\n`).join("")}`, {
        matches: [match("Time", "time", "s"), match("5 min", "temperature", "°C")],
      }),
    );
  });

  it("units stand in the cells, another one now and then", async () => {
    const read = await readLog(
      "Time;CPU temp;Package power;Core clock\n0 s;40 °C;1.2 W;4.6 GHz\n1 s;41.5°C;980 mW;4600 MHz\n2 s;43 °C;1,5 W;4600 MHz\n3 s;44.5 °C;n/a;4.5 GHz\n".replaceAll(
        "1,5",
        "1.5",
      ),
    );
    expectRead(read);
    expect(read.channels.power).toEqual([1.2, 0.98, 1.5, Number.NaN]);
    expect(read.channels.clock).toEqual([4600, 4600, 4600, 4500]);
  });

  it("units and decimal commas stand in the cells", async () => {
    const read = await readLog(
      `Time;Chip temp;Package power\n${temps.map((c, i) => `10:00:0${i};${c}°C;100,5W\n`.replace(".", ",")).join("")}`,
    );
    expectRead(read);
    expect(read.channels.power).toEqual([100.5, 100.5, 100.5, 100.5]);
  });

  it("a minus is the Unicode sign", async () => {
    const read = await readLog("Time [s],Temp [°C]\n0,−10.5\n1,−9\n2,3\n3,−0.5\n");
    expect(read.channels.temperature).toEqual([-10.5, -9, 3, -0.5]);
  });

  it("rows have a cell more than the header: a label in front, or a time at the end", async () => {
    const labelled = await readLog(
      `time temp fan\n${temps.map((c, i) => `chip: ${i} ${c} 1200\n`).join("")}`,
    );
    expectRead(labelled);
    const counted = await readLog(
      `Time [s],Temp [°C]\n${temps.map((c, i) => `${i + 7},${i},${c}\n`).join("")}`,
    );
    expectRead(counted);
    const timed = await readLog(
      `temp fan\n${temps.map((c, i) => `${c} 1200 2031-05-04 10:00:0${i}\n`).join("")}`,
    );
    expectRead(timed);
  });

  it("no header: refused by itself, and read with the columns named by hand", async () => {
    const rows = temps.map((c, i) => `${1_900_000_000 + i},${c},1200\n`).join("");
    await expect(readLog(rows)).rejects.toThrow(
      "The log has no header: its first line holds numbers. Say which of its 3 columns is which.",
    );
    expectRead(await readLog(rows, { matches: [match(1, "time", "s"), match(2, "temperature", "°C")] }));
  });

  it("no column is the time: read with rows at a fixed rate", async () => {
    const rows = `temp fan\n${temps.map((c) => `${c} 1200\n`).join("")}`;
    await expect(readLog(rows)).rejects.toThrow(/time/);
    expectRead(
      await readLog(rows, {
        matches: [match("", "time", "count", { everyS: 1 }), match("temp", "temperature")],
      }),
    );
  });

  it("JSON lines, nested and with fields that come and go", async () => {
    const read = await readLog(
      `${temps
        .map(
          (c, i) =>
            `${JSON.stringify({ time: `2031-05-04T10:00:0${i}Z`, chip: { temp: c }, ...(i % 2 && { fan: 900 }) })}\n`,
        )
        .join("")}{"time":"2031-05-04T10:0`,
    );
    expectRead(read);
    expect(read.channels.fan).toEqual([Number.NaN, 900, Number.NaN, 900]);
    expect(read.skipped).toEqual([{ line: 5, because: "It is torn off." }]);
  });

  it("dates in other orders, with names of months, two-digit years and zones; a local clock is told as local", async () => {
    const writings: Readonly<Record<string, (i: number) => string>> = {
      "day.month.year": (i) => `28.11.2031 10:00:0${i}`,
      "month/day/year": (i) => `11/28/2031 10:00:0${i} AM`,
      "name of the month": (i) => `28 Nov 2031 10:00:0${i}`,
      "two-digit year": (i) => `28/11/31 10:00:0${i}`,
    };
    for (const [name, time] of Object.entries(writings)) {
      const read = await withTimes("Date", [0, 1, 2, 3].map(time));
      expect([name, read.t, read.startedAtLocal, read.startedAtSeconds]).toEqual([
        ...[name, [0, 1, 2, 3], "2031-11-28T10:00:00", undefined],
      ]);
    }
    const zoned = { " UTC": 10, " CET": 9, " +02:00": 8, " Europe/Paris": 9 };
    for (const [zone, hour] of Object.entries(zoned)) {
      const read = await withTimes(
        "Date",
        [0, 1, 2, 3].map((i) => `28.11.2031 10:00:0${i}${zone}`),
      );
      expect([zone, read.t, read.startedAtSeconds]).toEqual([
        zone,
        [0, 1, 2, 3],
        Date.UTC(2031, 10, 28, hour) / 1000,
      ]);
    }
    const iso = await withTimes(
      "Date",
      [0, 1, 2, 3].map((i) => `2031-11-28 10:00:0${i} UTC`),
    );
    expect([iso.t, iso.startedAtSeconds]).toEqual([[0, 1, 2, 3], Date.UTC(2031, 10, 28, 10) / 1000]);
  });

  it("an ambiguous date is asked about and never guessed", async () => {
    const times = [0, 1, 2, 3].map((i) => `05/04/2031 10:00:0${i}`);
    await expect(withTimes("Date", times)).rejects.toThrow(
      '"05/04/2031 10:00:00" may be 5 April 2031 (dmy) or 4 May 2031 (mdy): say which order the dates have.',
    );
    const said = await withTimes("Date", times, [
      match("Date", "time", "dmy"),
      match("Temp [°C]", "temperature", "°C"),
    ]);
    expectRead(said);
    expect(said.startedAtLocal).toBe("2031-04-05T10:00:00");
  });

  it("times in two parts are minutes and seconds where only that can be, and asked about where both can", async () => {
    const times = ["58:58", "58:59", "59:00", "59:01"];
    expectRead(await withTimes("Time", times));
    const since = ["59:58", "59:59", "1:00:00", "1:00:01"];
    expectRead(
      await withTimes("Elapsed", since, [match("Elapsed", "time", "m:s"), match("Temp [°C]", "temperature")]),
    );
    const either = ["0:07", "0:08", "0:09", "0:10"];
    await expect(withTimes("Time", either)).rejects.toThrow(
      '"0:07" may be minutes and seconds (m:s) or hours and minutes (h:m): say which.',
    );
    const said = (unit: string) => [match("Time", "time", unit), match("Temp [°C]", "temperature")];
    expectRead(await withTimes("Time", either, said("m:s")));
    expect((await withTimes("Time", either, said("h:m"))).t).toEqual([0, 60, 120, 180]);
    expectRead(await withTimes("Elapsed", either));
    // A clock of the day that is read more often than once a minute shows the same minute twice.
    expect((await withTimes("Time", ["13:04", "13:04", "13:05", "13:05"])).t).toEqual([0, 0, 60, 60]);
  });

  it("epoch seconds, milliseconds, microseconds and nanoseconds, and the days of a spreadsheet", async () => {
    for (const zeros of ["", "000", "000000", "000000000"]) {
      const read = await withTimes(
        "timestamp",
        [0, 1, 2, 3].map((i) => `${1_900_000_000 + i}${zeros}`),
      );
      expect([zeros, read.t, read.startedAtSeconds]).toEqual([zeros, [0, 1, 2, 3], 1_900_000_000]);
    }
    const days = await withTimes(
      "Time",
      [0, 1, 2, 3].map((i) => (48_180 + i / 86_400).toFixed(9)),
    );
    for (const [i, t] of days.t.entries()) expect(t).toBeCloseTo(i, 3);
    expect(days.startedAtLocal).toBe("2031-11-28T00:00:00");
  });

  it("a time scale that makes a run of months or of moments is questioned, and kept where it is meant", async () => {
    await expect(withTimes("Time [h]", ["0", "1000", "2000", "3000"])).rejects.toThrow(
      "Read like this, its 4 rows would span 125 days. Is the time in another unit? Choose that, or say that it is meant.",
    );
    await expect(withTimes("Time [ms]", ["0", "1", "2", "3"])).rejects.toThrow("more than ten rows a second");
    const meant = [match("Time [ms]", "time", "ms", { sure: true }), match("Temp [°C]", "temperature", "°C")];
    expect((await withTimes("Time [ms]", ["0", "1", "2", "3"], meant)).t).toEqual([0, 0.001, 0.002, 0.003]);
  });

  it("a refusal names what was tried, on which line, and what would help", async () => {
    await expect(readLog("\nwarmup\ndone\n")).rejects.toThrow(
      "line 2 was taken apart at commas, semicolons, tabs, pipes and blanks, and each gives one cell",
    );
    await expect(readLog("one two\nthree four five\nsix\nseven eight\n")).rejects.toThrow(
      "no rows: line 4 was taken as the header",
    );
  });
});
