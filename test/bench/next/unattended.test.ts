import { expect, it } from "vitest";
import { againstUnattended } from "../../../server/bench/next/unattended.ts";
import { evidenceRow, testChip } from "../../support/evidenceRows.ts";

const setting = { clockMhz: 4600, voltageMv: 1250 };
const cool = { ...setting, durationS: 900, ambientC: 22, loadTempC: 70 };
const fair = {
  setting,
  rows: [evidenceRow(cool)],
  chip: testChip(),
  hottestAmbientC: 30,
  cutOutTried: true,
};

it("stands against nothing where heat is seen to end a load, and the setting passed coolly while watched", () => {
  expect(againstUnattended(fair)).toEqual([]);
});

it("names each thing that stands against leaving a run to itself", () => {
  const against = (differing: Partial<typeof fair>) => againstUnattended({ ...fair, ...differing });
  expect(against({ cutOutTried: false })).toEqual([expect.stringContaining("cut-out")]);
  expect(against({ rows: [evidenceRow({ ...cool, durationS: 599 })] })).toEqual([
    expect.stringContaining("ten minutes"),
  ]);
  // What passed at another setting, or crashed at this one, was not watched to pass here.
  const elsewhere = evidenceRow({ ...cool, clockMhz: 4575 });
  const crash = evidenceRow({ ...cool, outcome: "freeze" });
  expect(against({ rows: [elsewhere, crash] })).toEqual([
    expect.stringContaining("ten minutes"),
    expect.stringContaining("no temperature"),
  ]);
  expect(against({ rows: [evidenceRow({ ...cool, loadTempC: 91 })] })).toEqual([
    expect.stringContaining("margin"),
  ]);
  expect(against({ chip: testChip({ voltageCeilingMv: 1240 }) })).toEqual([
    "1.25 V lies above the ceiling of 1.24 V set for this chip",
  ]);
  expect(against({ rows: [evidenceRow({ ...cool, temps: { supply: 15 } })] })).toEqual([
    expect.stringContaining("colder than the room"),
  ]);
});
