import { appendFileSync, rmSync, writeFileSync } from "node:fs";
import path from "node:path";
import { expect, it } from "vitest";
import { kernelWords } from "../../server/kernel/kernelWords.ts";
import { temporaryFolder } from "../support/bench.ts";

const before = "08:00 kernel: mce: [Hardware Error]: Machine check events logged";
const during = "08:20 kernel: mce: [Hardware Error]: CPU 3: Machine Check: 0 Bank 5";

it("says what a log newly says of errors, line by line and once", () => {
  const file = path.join(temporaryFolder(), "kernel");
  writeFileSync(file, `${before}\n08:01 kernel: usb 1-2: new device\n`);
  const words = kernelWords(file);
  expect(words()).toEqual([]);
  appendFileSync(file, `${during}\n08:21 kernel: usb 1-2: gone\n08:22 kernel: Corrected error, no`);
  expect(words()).toEqual([during]);
  appendFileSync(file, " action required\n");
  expect(words()).toEqual(["08:22 kernel: Corrected error, no action required"]);
  expect(words()).toEqual([]);
});

it("is not confused by a log that is begun anew, is long, or is not there", () => {
  const file = path.join(temporaryFolder(), "kernel");
  writeFileSync(file, `${before}\n${during}\n`);
  const words = kernelWords(file);
  writeFileSync(file, `${before}\n`);
  expect(words()).toEqual([]);
  const many = Array.from({ length: 9000 }, (_, n) => `09:00 kernel: watchdog: cpu ${n} is slow to answer`);
  appendFileSync(file, `${during}\n${many.join("\n")}\n`);
  expect(words()).toEqual(many);
  rmSync(file);
  expect(words()).toEqual([]);
  expect(kernelWords(`${file}/nowhere`)()).toEqual([]);
});
