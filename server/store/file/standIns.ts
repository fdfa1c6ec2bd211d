import type Database from "better-sqlite3";

type Orphan = Readonly<{ table: string; rowid: number; parent: string; fkid: number }>;

/** What stands in is as old as can be, so that merged with a journal that has the real thing, that stands. */
const kept = "created_at, updated_at, version";
const oldest = "0, 0, 1";
const note = "'This could not be read from a damaged journal. What is written here stands in for it.'";
const called = (what: string, id: string) =>
  `'A ${what} that could not be read (' || substr(${id}, 1, 8) || ')'`;

/** How a thing that rows name and that is not there is put in, given its id and a row that names it. */
const makers: Readonly<Record<string, string>> = {
  chips: `INSERT INTO chips (id, ${kept}, name, kind, temp_limit_c, warn_margin_c, clock_step_khz, voltage_step_uv, sensor_accuracy_c, note)
    VALUES (:id, ${oldest}, ${called("chip", ":id")}, 'cpu', 95, 10, 25000, 10000, 2, ${note})`,
  boards: `INSERT INTO boards (id, ${kept}, name, note) VALUES (:id, ${oldest}, ${called("board", ":id")}, ${note})`,
  workloads: `INSERT INTO workloads (id, ${kept}, name, kind, note) VALUES (:id, ${oldest}, ${called("load", ":id")}, 'mixed', ${note})`,
  rules: `INSERT INTO rules (id, ${kept}, name, requires)
    VALUES (:id, ${oldest}, ${called("rule", ":id")}, '[{"workloadId":null,"anyWorkload":true,"durationS":900,"correctedErrors":null,"coldStarts":null}]')`,
  builds: `INSERT INTO builds (id, ${kept}, name, chip_id, board_id, cooler, "case", fans, orientation, memory, power_supply, firmware, hottest_ambient_c, note)
    VALUES (:id, ${oldest}, ${called("build", ":id")}, :id, :id, '', '', '', '', '', '', '', 30, ${note})`,
  mounts: `INSERT INTO mounts (id, ${kept}, build_id, note) VALUES (:id, ${oldest}, :buildId, ${note})`,
  build_states: `INSERT INTO build_states (id, build_id, parts)
    SELECT :id, id, json_object('cooler', cooler, 'case', "case", 'fans', fans, 'orientation', orientation, 'memory', memory, 'powerSupply', power_supply, 'firmware', firmware)
    FROM builds WHERE id = :buildId`,
};

const nouns: Readonly<Record<string, string>> = {
  chips: "chip",
  boards: "board",
  workloads: "load",
  rules: "acceptance rule",
  builds: "build",
  mounts: "mount",
  build_states: "state of a build",
};

/** Until every row stands on something: puts in what is named and not there, and lets go of what belongs to a lost attempt. */
export function standIn(client: Database.Database): string[] {
  const said: string[] = [];
  for (let round = 0; round < 6; round++) {
    const orphans = client.pragma("foreign_key_check") as Orphan[];
    if (orphans.length === 0) break;
    for (const orphan of orphans) {
      const words = settle(orphan, client);
      if (words !== null) said.push(words);
    }
  }
  return said;
}

function settle({ table, rowid, parent, fkid }: Orphan, client: Database.Database): string | null {
  const keys = client.pragma(`foreign_key_list("${table}")`) as { id: number; from: string }[];
  const column = keys.find(({ id }) => id === fkid)?.from ?? "";
  const row = client.prepare(`SELECT * FROM "${table}" WHERE rowid = ?`).get(rowid) as
    | Record<string, unknown>
    | undefined;
  const maker = makers[parent];
  if (row === undefined) return null;
  if (maker === undefined || row[column] === null) {
    client.prepare(`DELETE FROM "${table}" WHERE rowid = ?`).run(rowid);
    return null;
  }
  if (client.prepare(`SELECT 1 FROM "${parent}" WHERE id = ?`).get(row[column])) return null;
  client
    .prepare(maker)
    .run({ id: row[column], ...(maker.includes(":buildId") && { buildId: row.build_id }) });
  return `A ${nouns[parent]} (${row[column]}) could not be read; something in its place keeps together what stood on it.`;
}
