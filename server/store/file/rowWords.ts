import type Database from "better-sqlite3";
import { fromThousandths, toInstant } from "../rows/columns.ts";
import { rowsPerTraceChunk } from "../traces/tracePacking.ts";

export type FoundRow = Readonly<Record<string, unknown>>;

/** What a row is, in words; the very columns may be what changed, so none of them need make sense. */
export function rowWords(table: string, row: FoundRow, client: Database.Database): string {
  if (Object.hasOwn(row, "channel_id")) return ofChannel(table, row, client);
  return words[table]?.(row) ?? `A row of ${table}`;
}

const words: Readonly<Record<string, (row: FoundRow) => string>> = {
  chips: ({ id, name }) => `The chip ${name} (${id})`,
  boards: ({ id, name }) => `The board ${name} (${id})`,
  workloads: ({ id, name }) => `The load ${name} (${id})`,
  rules: ({ id, name }) => `The acceptance rule ${name} (${id})`,
  builds: ({ id, name }) => `The build ${name} (${id})`,
  build_states: ({ id, build_id }) => `State ${id} of the parts of the build ${build_id}`,
  build_versions: ({ id, name, build_id }) => `The version ${name} (${id}) of the build ${build_id}`,
  mounts: ({ id, build_id }) => `The mount ${id} of the build ${build_id}`,
  attempts: (row) => `The attempt ${attemptName(row)}`,
  attempt_outputs: ({ attempt_id }) => `What the load of the attempt ${attempt_id} printed`,
  attempt_edits: ({ id, attempt_id }) => `Edit ${id} in the history of the attempt ${attempt_id}`,
  heartbeats: ({ attempt_id, source }) => `The last sign of life of the attempt ${attempt_id} (${source})`,
  noise_readings: ({ id, build_id }) => `The noise reading ${id} of the build ${build_id}`,
  pictures: ({ id, caption }) => `The picture ${id} (${caption})`,
  picture_images: ({ picture_id }) => `The image of the picture ${picture_id}`,
  write_up_words: ({ slot, builds }) => `The words of your own (${slot}) for the builds ${builds}`,
  kept_answers: ({ build_id, use, goal }) =>
    `The answer last reckoned for the build ${build_id} (${use}, ${goal})`,
  answered_posts: ({ address, key }) => `The answer to ${address} under the key ${key}`,
  import_mappings: ({ header }) => `The columns settled for files of attempts headed ${header}`,
  column_matches: ({ header }) => `The columns settled for logs headed ${header}`,
  capture_sensors: ({ sensor }) => `The choice of the sensor ${sensor}`,
  traces: ({ attempt_id }) => `The trace of the attempt ${attempt_id}`,
  trace_channels: ({ channel, trace_id }) => `The channel ${channel} of trace ${trace_id}`,
};

function attemptName({ id, clock_khz, voltage_uv, started_at }: FoundRow): string {
  const at = Math.abs(started_at as number) < 8.64e15 ? ` of ${toInstant(started_at as number)}` : "";
  const said = [
    clock_khz === null ? [] : `${fromThousandths(clock_khz as number)} MHz`,
    voltage_uv === null ? [] : `${fromThousandths(voltage_uv as number) / 1000} V`,
  ].flat();
  return `${id}${at}${said.length > 0 ? ` (${said.join(" at ")})` : ""}`;
}

function ofChannel(table: string, { channel_id, chunk, level }: FoundRow, client: Database.Database): string {
  const [attemptId, channel] = (client
    .prepare(
      "SELECT t.attempt_id, c.channel FROM trace_channels c LEFT JOIN traces t ON t.id = c.trace_id WHERE c.id = ?",
    )
    .raw()
    .get(channel_id) ?? [null, null]) as [string | null, string | null];
  const place =
    table === "trace_chunks"
      ? `${channel}, from row ${(chunk as number) * rowsPerTraceChunk + 1} on`
      : `${channel}, the overview of ${level} rows`;
  return `The trace of the attempt ${attemptId} (${place})`;
}
