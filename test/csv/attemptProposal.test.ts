import { expect, it } from "vitest";
import { dayOrderIn } from "../../server/csv/attemptProposal.ts";

const columns = [
  { field: "clockMhz", unit: "MHz" },
  { field: "startedOn", unit: "" },
] as const;
const orderOf = (meanings: Parameters<typeof dayOrderIn>[0], ...cells: string[][]) =>
  dayOrderIn(meanings, (at) => cells[at] ?? []);

it("reads from the column of dates whether days come before months, and leaves open what none tells", () => {
  expect(orderOf(columns, ["4600"], ["14/5/2031"])).toBe(true);
  expect(orderOf(columns, ["4600"], ["4/5/2031", "5/14/2031"])).toBe(false);
  expect(orderOf([{ field: "startedAt", unit: "" }], ["5/14/2031 10:00"])).toBe(false);
  expect(orderOf(columns, ["4600"], ["4/5/2031"])).toBeNull();
});

it("looks at no other column for it", () => {
  expect(orderOf([null, { field: "notes", unit: "" }], ["14/5/2031"], ["14/5/2031"])).toBeNull();
});
