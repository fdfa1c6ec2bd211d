import Database from "better-sqlite3";
import { frontierOfBuild } from "../../server/answers/frontierOfBuild.ts";
import { frontierOf } from "../../server/bench/frontier/frontier.ts";
import type { OrderedKnob } from "../../server/bench/order/knobs.ts";
import { plainTerms } from "../../server/bench/order/terms.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { asking, randomRows } from "../support/frontierRows.ts";
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
          journal.attempts.forgetWhole("no such attempt"); // whatever is asked of that kind has all that was read forgotten
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

const turned: readonly OrderedKnob[] = ["fabric", "memory", "delay"].map((id) => ({
  id,
  harder: id === "delay" ? "down" : "up",
  belongs: "setting",
  usual: 0,
}));

/** 2,000 attempts whose three knobs stood in 64 ways, against the same attempts with no knob. */
const knobGroups: Measurement = {
  name: "frontier of 64 knob groups",
  goal: "2,000 attempts, at most 2 x the frontier without knobs",
  run: async () => {
    const rows = randomRows(1, 2000);
    const random = seededRandom(2);
    const stood = rows.map((row) => ({
      ...row,
      knobs: Object.fromEntries(turned.map(({ id }) => [id, Math.floor(4 * random.uniform())])),
    }));
    const plain = asking(stood);
    const grouped = asking(stood, { terms: { ...plainTerms, knobs: turned } });
    const times = 10;
    const each = (question: typeof plain) => () =>
      millisecondsOf(() => Array.from({ length: times }, () => frontierOf(question))) / times;
    return atMost(await inTurn(each(grouped), each(plain), 21), "ms", 2);
  },
};

export const measurements: readonly Measurement[] = [frontier, knobGroups];
