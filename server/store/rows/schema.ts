import { sql } from "drizzle-orm";
import {
  check,
  index,
  integer,
  primaryKey,
  real,
  sqliteTable,
  text,
  uniqueIndex,
} from "drizzle-orm/sqlite-core";
import { goals, uses } from "../../bench/things/aim.ts";
import {
  type AlsoSet,
  clockModes,
  powerReadPlaces,
  startKinds,
  voltageReadPlaces,
} from "../../bench/things/attemptFields.ts";
import type { Parts } from "../../bench/things/build.ts";
import { chipKinds } from "../../bench/things/chip.ts";
import { heartbeatSources } from "../../bench/things/heartbeat.ts";
import { outcomes } from "../../bench/things/outcome.ts";
import type { Requirement } from "../../bench/things/rule.ts";
import { workloadKinds } from "../../bench/things/workload.ts";
import { moment, thousandths } from "./columns.ts";

/** Instants are milliseconds since 1970 in UTC; clocks are integer kHz and voltages integer µV. */
const kept = {
  id: text().primaryKey(),
  createdAt: integer("created_at").notNull(),
  updatedAt: integer("updated_at").notNull(),
  version: integer().notNull().default(1),
  deletedAt: integer("deleted_at"),
};

export const chips = sqliteTable(
  "chips",
  {
    ...kept,
    name: text().notNull(),
    kind: text({ enum: chipKinds }).notNull(),
    tempLimitC: real("temp_limit_c").notNull(),
    warnMarginC: real("warn_margin_c").notNull(),
    voltageCeilingUv: integer("voltage_ceiling_uv"),
    stockClockKhz: integer("stock_clock_khz"),
    stockVoltageUv: integer("stock_voltage_uv"),
    clockStepKhz: integer("clock_step_khz").notNull(),
    voltageStepUv: integer("voltage_step_uv").notNull(),
    sensorAccuracyC: real("sensor_accuracy_c").notNull(),
    note: text().notNull(),
  },
  (t) => [
    index("chips_by_name").on(t.name, t.id),
    check("chips_kind", sql`${t.kind} IN ('cpu', 'gpu', 'memory')`),
    check("chips_steps", sql`${t.clockStepKhz} > 0 AND ${t.voltageStepUv} > 0`),
  ],
);

export const boards = sqliteTable(
  "boards",
  {
    ...kept,
    name: text().notNull(),
    formFactor: text("form_factor"),
    corePhases: integer("core_phases"),
    phaseRatingA: real("phase_rating_a"),
    supplyTempLimitC: real("supply_temp_limit_c"),
    note: text().notNull(),
  },
  (t) => [index("boards_by_name").on(t.name, t.id)],
);

export const workloads = sqliteTable(
  "workloads",
  {
    ...kept,
    name: text().notNull(),
    kind: text({ enum: workloadKinds }).notNull(),
    severity: integer(),
    scoreUnit: text("score_unit"),
    scoreBetter: text("score_better", { enum: ["higher", "lower"] }),
    note: text().notNull(),
  },
  (t) => [
    index("workloads_by_name").on(t.name, t.id),
    check(
      "workloads_kind",
      sql`${t.kind} IN ('idle', 'all-core', 'single-core', 'vector', 'memory', 'graphics', 'mixed', 'everyday', 'transition')`,
    ),
  ],
);

export const rules = sqliteTable(
  "rules",
  {
    ...kept,
    name: text().notNull(),
    requires: text({ mode: "json" }).$type<readonly Requirement[]>().notNull(),
  },
  (t) => [index("rules_by_name").on(t.name, t.id), check("rules_requires", sql`json_valid(${t.requires})`)],
);

export const builds = sqliteTable(
  "builds",
  {
    ...kept,
    name: text().notNull(),
    chipId: text("chip_id")
      .notNull()
      .references(() => chips.id),
    boardId: text("board_id")
      .notNull()
      .references(() => boards.id),
    cooler: text().notNull(),
    case: text().notNull(),
    fans: text().notNull(),
    orientation: text().notNull(),
    memory: text().notNull(),
    powerSupply: text("power_supply").notNull(),
    firmware: text().notNull(),
    basedOn: text("based_on"),
    change: text(),
    hottestAmbientC: real("hottest_ambient_c").notNull(),
    ruleId: text("rule_id").references(() => rules.id),
    use: text({ enum: uses }).notNull().default("benchmark"),
    goal: text({ enum: goals }).notNull().default("clock"),
    note: text().notNull(),
  },
  (t) => [
    index("builds_by_name").on(t.name, t.id),
    index("builds_by_chip").on(t.chipId),
    index("builds_by_board").on(t.boardId),
  ],
);

/** The parts of a build as they stood from some moment on; attempts point at the one they ran with. */
export const buildStates = sqliteTable(
  "build_states",
  {
    id: integer().primaryKey({ autoIncrement: true }),
    buildId: text("build_id")
      .notNull()
      .references(() => builds.id, { onDelete: "cascade" }),
    parts: text({ mode: "json" }).$type<Parts>().notNull(),
  },
  (t) => [
    index("build_states_by_build").on(t.buildId),
    check("build_states_parts", sql`json_valid(${t.parts})`),
  ],
);

export const mounts = sqliteTable(
  "mounts",
  {
    ...kept,
    buildId: text("build_id")
      .notNull()
      .references(() => builds.id, { onDelete: "cascade" }),
    mountedAt: integer("mounted_at"),
    paste: text(),
    note: text().notNull(),
  },
  (t) => [index("mounts_by_build").on(t.buildId, t.mountedAt)],
);

/** A field of an attempt is a column of the same name here, in the unit of the field; the file holds whole numbers. */
export const attempts = sqliteTable(
  "attempts",
  {
    ...kept,
    buildId: text("build_id")
      .notNull()
      .references(() => builds.id),
    mountId: text("mount_id")
      .notNull()
      .references(() => mounts.id),
    stateId: integer("state_id")
      .notNull()
      .references(() => buildStates.id),
    workloadId: text("workload_id")
      .notNull()
      .references(() => workloads.id),
    clockMhz: thousandths("clock_khz").notNull(),
    voltageMv: thousandths("voltage_uv").notNull(),
    outcome: text({ enum: outcomes }).notNull(),
    durationS: real("duration_s"),
    startedAt: moment("started_at").notNull(),
    plannedS: real("planned_s"),
    ambientC: real("ambient_c"),
    loadTempC: real("load_temp_c"),
    peakTempC: real("peak_temp_c"),
    startTempC: real("start_temp_c"),
    supplyTempC: real("supply_temp_c"),
    loadVoltageMv: thousandths("load_voltage_uv"),
    voltageReadAt: text("voltage_read_at", { enum: voltageReadPlaces }),
    loadLine: text("load_line"),
    currentA: real("current_a"),
    powerW: real("power_w"),
    powerAt: text("power_at", { enum: powerReadPlaces }),
    fanRpm: real("fan_rpm"),
    fanMode: text("fan_mode"),
    effectiveClockMhz: thousandths("effective_clock_khz"),
    throttled: integer({ mode: "boolean" }),
    correctedErrors: integer("corrected_errors"),
    startKind: text("start_kind", { enum: startKinds }),
    clockMode: text("clock_mode", { enum: clockModes }),
    alsoSet: text("also_set", { mode: "json" }).$type<readonly AlsoSet[]>(),
    score: real(),
    note: text().notNull(),
    tags: text({ mode: "json" }).$type<readonly string[]>(),
    failedFromS: real("failed_from_s"),
    failedToS: real("failed_to_s"),
    aboveCeiling: integer("above_ceiling", { mode: "boolean" }).notNull(),
    setAsideReason: text("set_aside_reason"),
    setAsideAt: moment("set_aside_at"),
    traced: integer({ mode: "boolean" }).notNull().default(false),
    checksum: integer(),
  },
  (t) => [
    index("attempts_by_build").on(t.buildId, t.startedAt, t.id),
    uniqueIndex("attempts_one_running").on(t.buildId).where(sql`outcome = 'running' AND deleted_at IS NULL`),
    check(
      "attempts_outcome",
      sql`${t.outcome} IN ('running', 'pass', 'stopped', 'no-start', 'fell-back', 'freeze', 'restart', 'system-error', 'app-closed', 'driver-reset', 'wrong-result', 'too-hot', 'power-cut', 'disturbed')`,
    ),
    check("attempts_clock", sql`${t.clockMhz} BETWEEN 1000 AND 20000000`),
    check("attempts_voltage", sql`${t.voltageMv} BETWEEN 100000 AND 3000000`),
    check("attempts_ended", sql`(${t.outcome} = 'running') = (${t.durationS} IS NULL)`),
    check("attempts_duration", sql`${t.durationS} BETWEEN 0 AND 2592000`),
  ],
);

/** What was changed in an attempt, and when: `{ field: [before, after] }`. */
export const attemptEdits = sqliteTable(
  "attempt_edits",
  {
    id: integer().primaryKey({ autoIncrement: true }),
    attemptId: text("attempt_id")
      .notNull()
      .references(() => attempts.id, { onDelete: "cascade" }),
    at: integer().notNull(),
    changes: text({ mode: "json" }).$type<Readonly<Record<string, readonly [unknown, unknown]>>>().notNull(),
  },
  (t) => [index("attempt_edits_by_attempt").on(t.attemptId, t.id)],
);

/** The furthest a running attempt is known to have got, told by the machine under test or by a page watching it. */
export const heartbeats = sqliteTable(
  "heartbeats",
  {
    attemptId: text("attempt_id")
      .notNull()
      .references(() => attempts.id, { onDelete: "cascade" }),
    source: text({ enum: heartbeatSources }).notNull(),
    elapsedS: real("elapsed_s").notNull(),
    seq: integer(),
    at: integer().notNull(),
    tempC: real("temp_c"),
    powerW: real("power_w"),
    loadVoltageUv: integer("load_voltage_uv"),
  },
  (t) => [
    primaryKey({ columns: [t.attemptId, t.source] }),
    check("heartbeats_source", sql`${t.source} IN ('machine', 'watcher')`),
  ],
);

export const noiseReadings = sqliteTable(
  "noise_readings",
  {
    ...kept,
    buildId: text("build_id")
      .notNull()
      .references(() => builds.id),
    workloadId: text("workload_id").references(() => workloads.id),
    clockKhz: integer("clock_khz"),
    voltageUv: integer("voltage_uv"),
    distanceM: real("distance_m").notNull(),
    levelsDba: text("levels_dba", { mode: "json" }).$type<readonly number[]>().notNull(),
    backgroundDba: real("background_dba"),
    takenAt: integer("taken_at").notNull(),
    note: text().notNull(),
  },
  (t) => [index("noise_readings_by_build").on(t.buildId, t.takenAt, t.id)],
);

/** The answers to posts that carried a key, so that a repeat is answered and not done again. */
export const answeredPosts = sqliteTable(
  "answered_posts",
  {
    key: text().primaryKey(),
    address: text().notNull(),
    bodyHash: text("body_hash").notNull(),
    status: integer().notNull(),
    answer: text().notNull(),
    at: integer().notNull(),
  },
  (t) => [index("answered_posts_by_age").on(t.at)],
);

/** Column choices of an import, remembered by the header line they were made for. */
export const importMappings = sqliteTable("import_mappings", {
  header: text().primaryKey(),
  mapping: text({ mode: "json" }).$type<unknown>().notNull(),
  at: integer().notNull(),
});
