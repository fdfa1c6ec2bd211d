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
import type { Stamps } from "../../bench/document/account.ts";
import { goals, uses } from "../../bench/things/aim.ts";
import { readBacks, tellers, trainings } from "../../bench/things/asSet.ts";
import {
  type AlsoSet,
  clockModes,
  type KeptFields,
  powerReadPlaces,
  startKinds,
  voltageReadPlaces,
} from "../../bench/things/attemptFields.ts";
import type { Parts } from "../../bench/things/build.ts";
import { appliers, axes, type Chip, chipKinds, clockUnits } from "../../bench/things/chip.ts";
import { type Heartbeat, heartbeatSources } from "../../bench/things/heartbeat.ts";
import { outcomes } from "../../bench/things/outcome.ts";
import type { Requirement } from "../../bench/things/rule.ts";
import { versionSubjects } from "../../bench/things/version.ts";
import { workloadKinds } from "../../bench/things/workload.ts";
import { moment, thousandths } from "./columns.ts";

/** Instants are milliseconds since 1970 in UTC; clocks are integer kHz and voltages integer µV. */
const kept = {
  id: text().primaryKey(),
  createdAt: integer("created_at").notNull(),
  updatedAt: integer("updated_at").notNull(),
  version: integer().notNull().default(1),
  deletedAt: integer("deleted_at"),
  /** When what of it was written; null as long as that follows from its times and its edits. */
  stamps: text({ mode: "json" }).$type<Stamps>(),
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
    axis: text({ enum: axes }).notNull().default("clock"),
    offset: text({ mode: "json" }).$type<Chip["offset"]>(),
    parts: text({ mode: "json" }).$type<Chip["parts"]>(),
    model: text(),
    clockUnit: text("clock_unit", { enum: clockUnits }).notNull().default("MHz"),
    clockGrid: text("clock_grid", { mode: "json" }).$type<Chip["clockGrid"]>(),
    voltageName: text("voltage_name"),
    baseClockKhz: integer("base_clock_khz"),
    stockCurve: text("stock_curve", { mode: "json" }).$type<Chip["stockCurve"]>(),
    knobs: text({ mode: "json" }).$type<Chip["knobs"]>(),
    limits: text({ mode: "json" }).$type<Chip["limits"]>(),
    mainPlace: text("main_place"),
    controlOffsetC: real("control_offset_c"),
    appliedBy: text("applied_by", { enum: appliers }).notNull().default("firmware"),
    sharedSupply: integer("shared_supply", { mode: "boolean" }).notNull().default(false),
    automaticVoltage: integer("automatic_voltage", { mode: "boolean" }).notNull().default(false),
    lowestTempC: real("lowest_temp_c"),
    modules: text({ mode: "json" }).$type<Chip["modules"]>(),
    checksum: integer(),
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
    checksum: integer(),
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
    checksum: integer(),
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
    checksum: integer(),
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
    supplyEfficiencyPct: real("supply_efficiency_pct"),
    ruleId: text("rule_id").references(() => rules.id),
    use: text({ enum: uses }).notNull().default("benchmark"),
    goal: text({ enum: goals }).notNull().default("clock"),
    note: text().notNull(),
    checksum: integer(),
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
    checksum: integer(),
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
    checksum: integer(),
  },
  (t) => [index("mounts_by_build").on(t.buildId, t.mountedAt)],
);

/** The firmware or driver of a build from some moment on. */
export const buildVersions = sqliteTable(
  "build_versions",
  {
    ...kept,
    buildId: text("build_id")
      .notNull()
      .references(() => builds.id, { onDelete: "cascade" }),
    of: text({ enum: versionSubjects }).notNull(),
    name: text().notNull(),
    since: integer(),
    note: text().notNull(),
    checksum: integer(),
  },
  (t) => [
    index("build_versions_by_build").on(t.buildId, t.since),
    check("build_versions_of", sql`${t.of} IN ('firmware', 'driver')`),
  ],
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
    clockMhz: thousandths("clock_khz"),
    voltageMv: thousandths("voltage_uv"),
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
    offset: thousandths("offset_thousandths"),
    offsets: text({ mode: "json" }).$type<KeptFields["offsets"]>(),
    part: text(),
    crashPart: text("crash_part"),
    knobs: text({ mode: "json" }).$type<KeptFields["knobs"]>(),
    settingReadBack: text("setting_read_back", { enum: readBacks }),
    freshBoot: integer("fresh_boot", { mode: "boolean" }),
    training: text({ enum: trainings }),
    starts: text({ mode: "json" }).$type<KeptFields["starts"]>(),
    cycles: integer(),
    coveragePct: real("coverage_pct"),
    errors: text({ mode: "json" }).$type<KeptFields["errors"]>(),
    temps: text({ mode: "json" }).$type<KeptFields["temps"]>(),
    lowestTempC: real("lowest_temp_c"),
    correctedErrorsAt: text("corrected_errors_at", { mode: "json" }).$type<KeptFields["correctedErrorsAt"]>(),
    toldBy: text("told_by", { enum: tellers }),
    loadProved: integer("load_proved", { mode: "boolean" }),
    bootId: text("boot_id"),
  },
  (t) => [
    index("attempts_by_build").on(t.buildId, t.startedAt, t.id),
    index("attempts_deleted").on(t.buildId).where(sql`deleted_at IS NOT NULL`),
    uniqueIndex("attempts_one_running").on(t.buildId).where(sql`outcome = 'running' AND deleted_at IS NULL`),
    check(
      "attempts_outcome",
      sql`${t.outcome} IN ('running', 'pass', 'stopped', 'no-start', 'fell-back', 'freeze', 'restart', 'system-error', 'app-closed', 'driver-reset', 'wrong-result', 'too-hot', 'power-cut', 'disturbed', 'died', 'artefacts', 'slower', 'load-stalled', 'setting-lost', 'too-cold', 'supply-tripped')`,
    ),
    check("attempts_clock", sql`${t.clockMhz} BETWEEN 1000 AND 20000000`),
    check("attempts_voltage", sql`${t.voltageMv} BETWEEN 100000 AND 3000000`),
    check("attempts_setting", sql`coalesce(${t.clockMhz}, ${t.offset}, ${t.offsets}) IS NOT NULL`),
    check("attempts_ended", sql`(${t.outcome} = 'running') = (${t.durationS} IS NULL)`),
    check("attempts_duration", sql`${t.durationS} BETWEEN 0 AND 2592000`),
  ],
);

/** What a load printed while it ran, as far as it was kept; apart, so that an attempt's row stays small. */
export const attemptOutputs = sqliteTable("attempt_outputs", {
  attemptId: text("attempt_id")
    .primaryKey()
    .references(() => attempts.id, { onDelete: "cascade" }),
  output: text().notNull(),
  checksum: integer(),
});

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
    clockKhz: integer("clock_khz"),
    correctedErrors: text("corrected_errors", { mode: "json" }).$type<Heartbeat["correctedErrors"]>(),
    bootId: text("boot_id"),
    checksum: integer(),
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
    checksum: integer(),
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
    checksum: integer(),
  },
  (t) => [index("answered_posts_by_age").on(t.at)],
);

/** Column choices of an import, remembered by the header line they were made for. */
export const importMappings = sqliteTable("import_mappings", {
  header: text().primaryKey(),
  mapping: text({ mode: "json" }).$type<unknown>().notNull(),
  at: integer().notNull(),
  checksum: integer(),
});
