import { describe, expect, it } from "vitest";
import { ordersOf, ordersOfAll, writtenMoment } from "../../server/csv/writtenMoment.ts";

const at = (iso: string): number => Date.parse(iso) / 1000;
const zoned = (iso: string) => ({ seconds: at(iso), zoned: true });
const local = (iso: string) => ({ seconds: at(`${iso}Z`), zoned: false });

describe("writtenMoment", () => {
  it("reads dates in every order, with names of months and years of two digits", () => {
    const cases: readonly (readonly [string, "ymd" | "dmy" | "mdy", object])[] = [
      ["28.11.2031 13:00:01.5", "dmy", local("2031-11-28T13:00:01.5")],
      ["28.11.31 13:00", "dmy", local("2031-11-28T13:00:00")],
      ["11/28/2031 1:00:01 PM", "mdy", local("2031-11-28T13:00:01")],
      ["11/28/2031 12:00:01 AM", "mdy", local("2031-11-28T00:00:01")],
      ["28/11/31 13:00:01", "dmy", local("2031-11-28T13:00:01")],
      ["31-11-28 13:00:01", "ymd", local("2031-11-28T13:00:01")],
      ["2031/11/28 13:00:01", "ymd", local("2031-11-28T13:00:01")],
      ["28 Nov 2031 13:00:01", "ymd", local("2031-11-28T13:00:01")],
      ["28-Nov-31 13:00:01", "mdy", local("2031-11-28T13:00:01")],
      ["Nov 28, 2031, 1:00:01 PM", "dmy", local("2031-11-28T13:00:01")],
    ];
    for (const [cell, order, expected] of cases)
      expect([cell, writtenMoment(cell, order)]).toEqual([cell, expected]);
  });

  it("takes no year of three digits or of one for a year", () => {
    for (const cell of ["28.11.203 13:00", "28.11.3 13:00", "11/28/203 13:00", "203-11-28 13:00"])
      expect([cell, ...(["dmy", "mdy", "ymd"] as const).map((order) => writtenMoment(cell, order))]).toEqual([
        ...[cell, undefined, undefined, undefined],
      ]);
  });

  it("reads UTC, offsets, zone names and places as such, and a clock without one as local", () => {
    const cases: readonly (readonly [string, object | undefined])[] = [
      ["28.11.2031 13:00:01 UTC", zoned("2031-11-28T13:00:01Z")],
      ["28.11.2031 13:00:01 CET", zoned("2031-11-28T12:00:01Z")],
      ["28.11.2031 13:00:01 +0530", zoned("2031-11-28T07:30:01Z")],
      ["28.11.2031 13:00:01 Europe/Paris", zoned("2031-11-28T12:00:01Z")],
      ["28.07.2031 13:00:01 [Europe/Paris]", zoned("2031-07-28T11:00:01Z")],
      ["Fri, 28 Nov 2031 13:00:01 -0800", zoned("2031-11-28T21:00:01Z")],
      ["Fri Nov 28 13:00:01 UTC 2031", zoned("2031-11-28T13:00:01Z")],
      ["28.11.2031 13:00:01 Attic/Bench", undefined],
      ["28.11.2031 13:00:01 XYZ", local("2031-11-28T13:00:01")],
    ];
    for (const [cell, expected] of cases)
      expect([cell, writtenMoment(cell, "dmy")]).toEqual([cell, expected]);
  });

  it("knows each zone's name by its hours (as the zones' own tables have them: RFC 5322 4.3, and from memory)", () => {
    const hours = {
      ...{ "0": "Z UTC GMT UT WET", "1": "WEST CET MEZ", "2": "CEST MESZ EET", "3": "EEST", "9": "JST" },
      ...{ "-4": "EDT", "-5": "EST CDT", "-6": "MDT", "-7": "MST PDT", "-8": "PST" },
    };
    for (const [ahead, names] of Object.entries(hours))
      for (const name of names.split(" ")) {
        const read = writtenMoment(`28.11.2031 13:00:01 ${name}`, "dmy");
        expect([name, read]).toEqual([
          name,
          { seconds: at("2031-11-28T13:00:01Z") - 3600 * Number(ahead), zoned: true },
        ]);
      }
  });

  it("is undefined for a day that does not exist, and for what is no date and clock", () => {
    for (const cell of ["31.04.2031 13:00:01", "28.11.2031", "13:00:01", "12.5", "29.2.2031 10:00:00", ""])
      expect([cell, writtenMoment(cell, "dmy")]).toEqual([cell, undefined]);
    expect(writtenMoment("13/25/2031 10:00:00", "mdy")).toBeUndefined();
  });

  it("is undefined for an hour, a minute or a second that no clock has", () => {
    for (const clock of ["25:00:00", "13:60:00", "13:00:61", "99:99"])
      expect([clock, writtenMoment(`28.11.2031 ${clock}`, "dmy")]).toEqual([clock, undefined]);
    expect(writtenMoment("28.11.2031 24:00:00", "dmy")).toEqual(local("2031-11-29T00:00:00"));
    expect(writtenMoment("28.11.2031 23:59:60", "dmy")).toEqual(local("2031-11-29T00:00:00"));
  });
});

describe("ordersOfAll", () => {
  it("leaves every order in which all cells can be read, and no more", () => {
    expect(ordersOf("05/04/2031 10:00:00")).toEqual(["dmy", "mdy"]);
    expect(ordersOfAll(["05/04/2031 10:00:00", "13/04/2031 10:00:00"])).toEqual(["dmy"]);
    expect(ordersOf("05/04/07 10:00:00")).toEqual(["ymd", "dmy", "mdy"]);
    expect(ordersOf("05.04.2031 10:00:00")).toEqual(["dmy"]);
  });
});
