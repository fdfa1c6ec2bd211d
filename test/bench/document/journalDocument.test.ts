import { describe, expect, it } from "vitest";
import { type DocumentSection, documentThingFrom } from "../../../server/bench/document/journalDocument.ts";

const id = "01c2aed5-a440-757e-91b5-09a86d57c92b";
const at = "2031-05-04T13:42:00.000Z";
const words = { builds: id, slot: "title", words: "quiet", replaced: "loud", updatedAt: at };

/** The places of a thing at which something is wrong. */
function wrongIn(section: DocumentSection, thing: object): readonly string[] {
  const read = documentThingFrom(section, "it", thing);
  return "faults" in read ? read.faults.map(([place]) => place) : [];
}

describe("documentThingFrom(section, place, sent)", () => {
  it.each([
    ["builds", 1000],
    ["slot", 60],
    ["words", 20_000],
    ["replaced", 20_000],
  ])("takes own words whose %s is %i long, and nothing longer", (field, most) => {
    expect(wrongIn("writeUpWords", { ...words, [field]: "a".repeat(most) })).toEqual([]);
    expect(wrongIn("writeUpWords", { ...words, [field]: "a".repeat(most + 1) })).toEqual([`it.${field}`]);
  });

  it.each([
    ["builds", 1000],
    ["slot", 60],
    ["words", 20_000],
  ])("takes earlier words whose %s is %i long, and nothing longer", (field, most) => {
    const earlier = { builds: id, slot: "title", words: "loud" };
    const wrong = (length: number) => wrongIn("earlierWords", { ...earlier, [field]: "a".repeat(length) });
    expect(wrong(most)).not.toContain(`it.${field}`);
    expect(wrong(most + 1)).toContain(`it.${field}`);
  });

  it("holds the reason for which an attempt is set aside, and what its build was made of, to their lengths", () => {
    const long = (count: number) => ({ setAside: { reason: "a".repeat(count), at } });
    expect(wrongIn("attempts", long(500))).not.toContain("it.setAside.reason");
    expect(wrongIn("attempts", long(501))).toContain("it.setAside.reason");
    const built = (count: number) => ({ asBuilt: { cooler: "a".repeat(count) } });
    expect(wrongIn("attempts", built(200))).not.toContain("it.asBuilt.cooler");
    expect(wrongIn("attempts", built(201))).toContain("it.asBuilt.cooler");
  });
});
