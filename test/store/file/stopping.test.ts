import { describe, expect, it } from "vitest";
import { stoppingOf } from "../../../server/store/file/stopping.ts";

const fault = (code: string, message = "") => Object.assign(new Error(message), { code });

describe("a fault met in the journal's file", () => {
  const told = (error: unknown) => {
    const stopping = stoppingOf("bench.db");
    return { words: stopping.refusalOf(error)?.message ?? null, stop: stopping.stopped()?.because ?? null };
  };

  it("stops the writing, and says whether the disk failed or the file is damaged", () => {
    for (const code of ["SQLITE_IOERR_READ", "SQLITE_IOERR_SHORT_READ", "SQLITE_IOERR_FSYNC"])
      expect(told(fault(code)), code).toEqual({
        words: expect.stringMatching(/^The disk failed under the journal\. .*bench\.db/),
        stop: "damaged",
      });
    for (const error of [
      fault("SQLITE_CORRUPT_INDEX"),
      fault("SQLITE_NOTADB"),
      new Error("told by a thread", { cause: "database disk image is malformed" }),
    ])
      expect(told(error)).toEqual({
        words: expect.stringMatching(/^The journal is damaged\. .*bench\.db/),
        stop: "damaged",
      });
  });

  it("stops nothing where it is of another kind", () => {
    for (const error of [fault("SQLITE_BUSY"), fault("ENOSPC"), new Error("no number"), null])
      expect(told(error)).toEqual({ words: null, stop: null });
  });

  it("is told once: what was found first stands until somebody lets writing go on", () => {
    const stopping = stoppingOf("bench.db");
    stopping.refusalOf(fault("SQLITE_CORRUPT"));
    stopping.refusalOf(fault("SQLITE_IOERR_READ"));
    expect(stopping.stopped()?.words).toMatch(/^The journal is damaged/);
    expect(() => stopping.assertGoing()).toThrow(/^The journal is damaged/);
    stopping.goOn();
    expect(stopping.stopped()).toBeNull();
    expect(() => stopping.assertGoing()).not.toThrow();
  });
});
