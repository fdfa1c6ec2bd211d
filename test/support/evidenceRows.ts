import type { Chip } from "../../server/bench/things/chip.ts";
import { chipFrom } from "../../server/bench/things/chip.ts";
import type { EvidenceRow } from "../../server/bench/things/evidenceRow.ts";
import type { Workload } from "../../server/bench/things/workload.ts";

const kept = { createdAt: "2031-05-04T08:00:00.000Z", updatedAt: "2031-05-04T08:00:00.000Z", version: 1 };

let rowsMade = 0;

/** A pass of an hour at 4600 MHz and 1250 mV; the fields named differ. Each row starts an hour after the one before. */
export function evidenceRow(differing: Partial<EvidenceRow> = {}): EvidenceRow {
  rowsMade += 1;
  return {
    id: `attempt-${rowsMade}`,
    mountId: "mount-1",
    workloadId: "all-core",
    clockMhz: 4600,
    voltageMv: 1250,
    outcome: "pass",
    startedAt: new Date(Date.UTC(2031, 4, 4) + rowsMade * 3_600_000).toISOString(),
    plannedS: null,
    durationS: 3600,
    ambientC: 23,
    loadTempC: null,
    peakTempC: null,
    startTempC: null,
    loadVoltageMv: null,
    powerW: null,
    powerAt: null,
    effectiveClockMhz: null,
    throttled: null,
    correctedErrors: null,
    startKind: null,
    clockMode: null,
    failedFromS: null,
    failedToS: null,
    voltageReadAt: null,
    correctedErrorsAt: null,
    offset: null,
    offsets: null,
    part: null,
    crashPart: null,
    knobs: null,
    temps: null,
    lowestTempC: null,
    training: null,
    starts: null,
    cycles: null,
    freshBoot: null,
    settingReadBack: null,
    traced: false,
    ...differing,
  };
}

/** A processor with stock 4600 MHz at 1250 mV, ceiling 1450 mV and limit 100 °C. */
export const testChip = (differing: Partial<Chip> = {}): Chip => ({
  ...kept,
  id: "chip-1",
  ...chipFrom({
    name: "Heron sample",
    kind: "cpu",
    tempLimitC: 100,
    stockClockMhz: 4600,
    stockVoltageMv: 1250,
    voltageCeilingMv: 1450,
  }),
  ...differing,
});

export const testWorkload = (id: string, differing: Partial<Workload> = {}): Workload => ({
  ...kept,
  id,
  name: id,
  kind: "all-core",
  severity: null,
  scoreUnit: null,
  scoreBetter: null,
  note: "",
  ...differing,
});
