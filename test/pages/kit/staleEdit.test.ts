import { expect, it } from "vitest";
import { Refusal } from "../../../server/bench/things/refusal.ts";
import { formAfterEdit } from "../../../server/pages/kit/staleEdit.ts";

const stale = new Refusal("conflict", "It was changed.", {}, { current: {} });

it("what a thing says now stands beside what differs, and no field is looked for on the prototype", () => {
  const typed = { version: "1", note: "mine", name: "Wren", valueOf: "x", constructor: "y", more: "z" };
  const form = formAfterEdit(stale, typed as never, () => ({ version: "2", note: "theirs", name: "Wren" }));
  expect(form.typed.version).toBe("2");
  expect(form.refused?.fields).toEqual({ note: "It now says “theirs”." });
});
