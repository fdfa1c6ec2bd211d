import { expect, it } from "vitest";
import { samplesFromCsv, samplesFromNdjson } from "../../server/csv/sampleLines.ts";

const startedAt = "2031-05-04T12:00:00.000Z";
const thirtyDaysS = 30 * 24 * 3600;

it("samples of thirty days are kept, and the first beyond or before the start is skipped and told", () => {
  const lines = [0, thirtyDaysS, thirtyDaysS + 0.001, -0.001].map((elapsedS) =>
    JSON.stringify({ elapsedS, temperatureC: 60 }),
  );
  const read = samplesFromNdjson(lines.join("\n"), startedAt);
  expect(read.t).toEqual([0, thirtyDaysS]);
  expect(read.skipped.map(({ line }) => line)).toEqual([3, 4]);
});

it("samples told by the clock count from the start of the attempt", () => {
  const text = "at,temperatureC\n2031-05-04T12:00:01.500Z,60\n2031-06-03T12:00:00.001Z,61\n";
  const read = samplesFromCsv(text, startedAt);
  expect([read.t, read.values]).toEqual([[1.5], [[60]]]);
  expect(read.skipped.map(({ line }) => line)).toEqual([3]);
});
