import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { cellReading } from "../../server/csv/attemptCell.ts";
import { attemptColumn } from "../../server/csv/attemptColumns.ts";
import { guarded, unguarded } from "../../server/csv/csvLine.ts";
import { durationIn } from "../../server/csv/durationCell.ts";
import { dayComesFirst, momentIn } from "../../server/csv/momentCell.ts";
import { outcomeSpelled } from "../../server/csv/outcomeSpelled.ts";

const read = (field: string, unit: string, cell: string, decimal: "." | "," = ".") => {
  const column = attemptColumn(field);
  if (!column) throw new Error(field);
  return cellReading(column, unit, cell, decimal);
};

describe("a cell of an attempt", () => {
  it("is turned into the unit that is kept", () => {
    expect(read("clockMhz", "GHz", "4.625")).toBe(4625);
    expect(read("clockMhz", "GHz", "4,625", ",")).toBe(4625);
    expect(read("voltageMv", "V", "1.3375")).toBe(1337.5);
    expect(read("loadTempC", "°F", "181.4")).toBe(83);
    expect(read("ambientC", "K", "295.15")).toBe(22);
    expect(read("ambientC", "°C", "−4.5")).toBe(-4.5);
  });

  it("follows a unit written in the cell rather than that of the column", () => {
    expect(read("clockMhz", "MHz", "4.7 GHz")).toBe(4700);
    expect(read("voltageMv", "V", "1187.5mV")).toBe(1187.5);
    expect(read("voltageMv", "V", "1.2 MHz")).toBeUndefined();
  });

  it("is refused where it holds no such thing", () => {
    expect(read("clockMhz", "MHz", "fast")).toBeUndefined();
    expect(read("clockMhz", "MHz", "4 7 0 0 x")).toBeUndefined();
    expect(read("throttled", "", "maybe")).toBeUndefined();
    expect(read("startKind", "", "lukewarm")).toBeUndefined();
    expect(read("alsoSet", "", "{}")).toBeUndefined();
  });

  it("gives up exactly what a spreadsheet guard put before it", () => {
    expect(guarded("=1+1")).toBe("'=1+1");
    expect(guarded("'quoted'")).toBe("''quoted'");
    expect(guarded("5 mm paste")).toBe("5 mm paste");
    fc.assert(fc.property(fc.string(), (text) => unguarded(guarded(text)) === text));
    fc.assert(fc.property(fc.string(), (text) => !/^[=+\-@\t\r]/.test(guarded(text))));
  });
});

describe("durationIn", () => {
  it("reads bare numbers in the unit of the column, clocks and parts", () => {
    expect(durationIn("15", "min", ".")).toBe(900);
    expect(durationIn("0,5", "h", ",")).toBe(1800);
    expect(durationIn("1:05:00", "min", ".")).toBe(3900);
    expect(durationIn("15:30", "min", ".")).toBe(930);
    expect(durationIn("1:02:03", "h", ".")).toBe(3723);
    expect(durationIn("12:00", "h", ".")).toBe(43_200);
    expect(durationIn("1 h 20 min", "s", ".")).toBe(4800);
    expect(durationIn("90s", "min", ".")).toBe(90);
    expect(durationIn("a while", "min", ".")).toBeNaN();
    expect(durationIn("1:75", "min", ".")).toBeNaN();
  });
});

describe("momentIn", () => {
  const utc = { zone: "UTC", dayFirst: true };

  it("reads the common ways to write a date and a time", () => {
    const written = [
      "2031-05-04 15:42",
      "2031-05-04T15:42:00.000Z",
      "2031-05-04T17:42:00+02:00",
      "2031-05-04T12:12:00-03:30",
      "2031-05-04T21:12:00+0530",
      "2031-05-04 15:42 UTC",
      "2031-05-04 10:42:00-05",
      "2031/5/4 3:42 pm",
      "04.05.2031 15:42",
      "4/5/31 15:42:00",
      "4 May 2031, 15:42",
    ];
    for (const cell of written) expect(momentIn(cell, utc), cell).toBe("2031-05-04T15:42:00.000Z");
  });

  it("takes a clock without an offset for that of the bench, summer time and all", () => {
    const paris = { zone: "Europe/Paris", dayFirst: true };
    expect(momentIn("2031-07-04 15:42", paris)).toBe("2031-07-04T13:42:00.000Z");
    expect(momentIn("2031-01-04 15:42", paris)).toBe("2031-01-04T14:42:00.000Z");
    expect(momentIn("2031-03-30 03:00", paris)).toBe("2031-03-30T01:00:00.000Z");
  });

  it("agrees with the calendar of the platform at every hour of a year", () => {
    const zone = "America/New_York";
    const shown = new Intl.DateTimeFormat("sv-SE", {
      timeZone: zone,
      dateStyle: "short",
      timeStyle: "medium",
    });
    for (let ms = Date.UTC(2031, 0, 1); ms < Date.UTC(2032, 0, 1); ms += 3_600_000) {
      const wall = shown.format(ms);
      const read = momentIn(wall, { zone, dayFirst: true });
      expect(shown.format(Date.parse(read ?? ""))).toBe(wall);
    }
  });

  it("tells day and month apart where it can, and follows the choice where it cannot", () => {
    expect(momentIn("5/4/2031 10:00", { zone: "UTC", dayFirst: false })).toBe("2031-05-04T10:00:00.000Z");
    expect(momentIn("13/4/2031 10:00", { zone: "UTC", dayFirst: false })).toBe("2031-04-13T10:00:00.000Z");
    expect(momentIn("4/13/2031 10:00", utc)).toBe("2031-04-13T10:00:00.000Z");
    expect(dayComesFirst(["4/5/2031", "4/13/2031"])).toBe(false);
    expect(dayComesFirst(["4/5/2031", "14/5/2031"])).toBe(true);
    expect(dayComesFirst(["4/5/2031"])).toBeNull();
  });

  it("gives nothing for what is no moment", () => {
    for (const cell of ["", "soon", "2031-05-04", "2031-06-31 10:00", "2031-05-04 25:00", "04-05-2031"])
      expect(momentIn(cell, utc), cell).toBeNull();
  });
});

describe("outcomeSpelled", () => {
  it("knows the words of the bench and asks about those that could mean several", () => {
    expect(outcomeSpelled("OK")).toBe("pass");
    expect(outcomeSpelled("Blue screen")).toBe("system-error");
    expect(outcomeSpelled("hung")).toBe("freeze");
    expect(outcomeSpelled("reboot!")).toBe("restart");
    expect(outcomeSpelled("No POST")).toBe("no-start");
    expect(outcomeSpelled("no_boot")).toBe("no-start");
    expect(outcomeSpelled("system-error")).toBe("system-error");
    for (const word of ["crash", "fail", "error", "x", ""])
      expect(outcomeSpelled(word), word).toBeUndefined();
  });
});
