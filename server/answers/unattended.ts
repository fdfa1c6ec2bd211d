import { loadedRows } from "../bench/limit/limitEvidence.ts";
import { againstUnattended } from "../bench/next/unattended.ts";
import type { Build } from "../bench/things/build.ts";
import type { Chip } from "../bench/things/chip.ts";
import type { Setting } from "../bench/things/setting.ts";
import type { Journal } from "../store/file/journal.ts";
import { type Attendants, isHeard } from "./attendants.ts";

type Around = Readonly<{ journal: Journal; attendants: Attendants; now: string }>;

/** What stands against leaving a load to itself at a setting of a build, in words; empty where nothing does. */
export function againstUnattendedAt(
  { journal, attendants, now }: Around,
  { build, chip }: Readonly<{ build: Build; chip: Chip }>,
  setting: Setting,
): readonly string[] {
  const attendant = attendants.of(build.id, now);
  return againstUnattended({
    setting,
    chip,
    // What passed at idle was no load to be left alone with.
    rows: loadedRows(journal.attempts.evidenceOf(build.id), journal.workloads.all()),
    hottestAmbientC: build.hottestAmbientC,
    cutOutTried: attendant !== null && isHeard(attendant, now) && attendant.cutOutTried === true,
  });
}
