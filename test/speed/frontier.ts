import Database from "better-sqlite3";
import { frontierOfBuild } from "../../server/answers/frontierOfBuild.ts";
import { inFolder, journalIn } from "./journals.ts";
import { atMost, inTurn, type Measurement, millisecondsOf } from "./measurement.ts";

/** The rows of one build as the driver gives them, with no word of ours between: what any frontier has to read. */
const rawRows = `
  SELECT id, mount_id, workload_id, clock_khz, voltage_uv, outcome, duration_s, started_at, planned_s, ambient_c,
    load_temp_c, peak_temp_c, start_temp_c, load_voltage_uv, power_w, power_at, effective_clock_khz, throttled,
    corrected_errors, start_kind, clock_mode, failed_from_s, failed_to_s, traced
  FROM attempts
  WHERE build_id = ? AND deleted_at IS NULL AND set_aside_reason IS NULL AND outcome <> 'running'
  ORDER BY started_at, id`;

const frontier: Measurement = {
  name: "frontier",
  goal: "of one build among 100,000 attempts over 50, at most 1.4 x raw SQL",
  run: () =>
    inFolder(async (folder) => {
      const journal = journalIn(folder, { builds: 50, attempts: 100_000, seed: 1 });
      const raw = new Database(journal.file, { readonly: true });
      const rows = raw.prepare(rawRows);
      const builds = journal.builds.all().slice(0, 10);
      const each = (work: (buildId: string) => unknown) => () =>
        millisecondsOf(() => builds.map(({ id }) => work(id))) / builds.length;
      const found = await inTurn(
        () => {
          journal.attempts.restore("no such attempt"); // every write of that kind has all that was read forgotten
          return each((buildId) => frontierOfBuild(journal, { buildId }))();
        },
        each((buildId) => rows.all(buildId)),
        11,
      );
      raw.close();
      journal.close();
      return atMost(found, "ms", 1.4);
    }),
};

export const measurements: readonly Measurement[] = [frontier];
