CREATE TABLE `answered_posts` (
	`key` text PRIMARY KEY NOT NULL,
	`address` text NOT NULL,
	`body_hash` text NOT NULL,
	`status` integer NOT NULL,
	`answer` text NOT NULL,
	`at` integer NOT NULL
) STRICT;
--> statement-breakpoint
CREATE INDEX `answered_posts_by_age` ON `answered_posts` (`at`);--> statement-breakpoint
CREATE TABLE `attempt_edits` (
	`id` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`attempt_id` text NOT NULL,
	`at` integer NOT NULL,
	`changes` text NOT NULL,
	FOREIGN KEY (`attempt_id`) REFERENCES `attempts`(`id`) ON UPDATE no action ON DELETE cascade
) STRICT;
--> statement-breakpoint
CREATE INDEX `attempt_edits_by_attempt` ON `attempt_edits` (`attempt_id`,`id`);--> statement-breakpoint
CREATE TABLE `attempts` (
	`id` text PRIMARY KEY NOT NULL,
	`created_at` integer NOT NULL,
	`updated_at` integer NOT NULL,
	`version` integer DEFAULT 1 NOT NULL,
	`deleted_at` integer,
	`build_id` text NOT NULL,
	`mount_id` text NOT NULL,
	`state_id` integer NOT NULL,
	`workload_id` text NOT NULL,
	`clock_khz` integer NOT NULL,
	`voltage_uv` integer NOT NULL,
	`outcome` text NOT NULL,
	`duration_s` real,
	`started_at` integer NOT NULL,
	`planned_s` real,
	`ambient_c` real,
	`load_temp_c` real,
	`peak_temp_c` real,
	`start_temp_c` real,
	`supply_temp_c` real,
	`load_voltage_uv` integer,
	`voltage_read_at` text,
	`load_line` text,
	`current_a` real,
	`power_w` real,
	`power_at` text,
	`fan_rpm` real,
	`fan_mode` text,
	`effective_clock_khz` integer,
	`throttled` integer,
	`corrected_errors` integer,
	`start_kind` text,
	`clock_mode` text,
	`also_set` text,
	`score` real,
	`note` text NOT NULL,
	`tags` text,
	`failed_from_s` real,
	`failed_to_s` real,
	`above_ceiling` integer NOT NULL,
	`set_aside_reason` text,
	`set_aside_at` integer,
	`traced` integer DEFAULT false NOT NULL,
	FOREIGN KEY (`build_id`) REFERENCES `builds`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`mount_id`) REFERENCES `mounts`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`state_id`) REFERENCES `build_states`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`workload_id`) REFERENCES `workloads`(`id`) ON UPDATE no action ON DELETE no action,
	CONSTRAINT "attempts_outcome" CHECK("attempts"."outcome" IN ('running', 'pass', 'stopped', 'no-start', 'fell-back', 'freeze', 'restart', 'system-error', 'app-closed', 'driver-reset', 'wrong-result', 'too-hot', 'power-cut', 'disturbed')),
	CONSTRAINT "attempts_clock" CHECK("attempts"."clock_khz" BETWEEN 1000 AND 20000000),
	CONSTRAINT "attempts_voltage" CHECK("attempts"."voltage_uv" BETWEEN 100000 AND 3000000),
	CONSTRAINT "attempts_ended" CHECK(("attempts"."outcome" = 'running') = ("attempts"."duration_s" IS NULL)),
	CONSTRAINT "attempts_duration" CHECK("attempts"."duration_s" BETWEEN 0 AND 2592000)
) STRICT;
--> statement-breakpoint
CREATE INDEX `attempts_by_build` ON `attempts` (`build_id`,`started_at`,`id`);--> statement-breakpoint
CREATE INDEX `attempts_passed` ON `attempts` (`build_id`,`voltage_uv`,`clock_khz`) WHERE outcome = 'pass';--> statement-breakpoint
CREATE UNIQUE INDEX `attempts_one_running` ON `attempts` (`build_id`) WHERE outcome = 'running' AND deleted_at IS NULL;--> statement-breakpoint
CREATE INDEX `attempts_by_workload` ON `attempts` (`workload_id`);--> statement-breakpoint
CREATE INDEX `attempts_by_mount` ON `attempts` (`mount_id`);--> statement-breakpoint
CREATE TABLE `boards` (
	`id` text PRIMARY KEY NOT NULL,
	`created_at` integer NOT NULL,
	`updated_at` integer NOT NULL,
	`version` integer DEFAULT 1 NOT NULL,
	`deleted_at` integer,
	`name` text NOT NULL,
	`form_factor` text,
	`core_phases` integer,
	`phase_rating_a` real,
	`supply_temp_limit_c` real,
	`note` text NOT NULL
) STRICT;
--> statement-breakpoint
CREATE INDEX `boards_by_name` ON `boards` (`name`,`id`);--> statement-breakpoint
CREATE TABLE `build_states` (
	`id` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`build_id` text NOT NULL,
	`parts` text NOT NULL,
	FOREIGN KEY (`build_id`) REFERENCES `builds`(`id`) ON UPDATE no action ON DELETE cascade,
	CONSTRAINT "build_states_parts" CHECK(json_valid("build_states"."parts"))
) STRICT;
--> statement-breakpoint
CREATE INDEX `build_states_by_build` ON `build_states` (`build_id`);--> statement-breakpoint
CREATE TABLE `builds` (
	`id` text PRIMARY KEY NOT NULL,
	`created_at` integer NOT NULL,
	`updated_at` integer NOT NULL,
	`version` integer DEFAULT 1 NOT NULL,
	`deleted_at` integer,
	`name` text NOT NULL,
	`chip_id` text NOT NULL,
	`board_id` text NOT NULL,
	`cooler` text NOT NULL,
	`case` text NOT NULL,
	`fans` text NOT NULL,
	`orientation` text NOT NULL,
	`memory` text NOT NULL,
	`power_supply` text NOT NULL,
	`firmware` text NOT NULL,
	`based_on` text,
	`change` text,
	`hottest_ambient_c` real NOT NULL,
	`rule_id` text,
	`note` text NOT NULL,
	FOREIGN KEY (`chip_id`) REFERENCES `chips`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`board_id`) REFERENCES `boards`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`rule_id`) REFERENCES `rules`(`id`) ON UPDATE no action ON DELETE no action
) STRICT;
--> statement-breakpoint
CREATE INDEX `builds_by_name` ON `builds` (`name`,`id`);--> statement-breakpoint
CREATE INDEX `builds_by_chip` ON `builds` (`chip_id`);--> statement-breakpoint
CREATE INDEX `builds_by_board` ON `builds` (`board_id`);--> statement-breakpoint
CREATE TABLE `chips` (
	`id` text PRIMARY KEY NOT NULL,
	`created_at` integer NOT NULL,
	`updated_at` integer NOT NULL,
	`version` integer DEFAULT 1 NOT NULL,
	`deleted_at` integer,
	`name` text NOT NULL,
	`kind` text NOT NULL,
	`temp_limit_c` real NOT NULL,
	`warn_margin_c` real NOT NULL,
	`voltage_ceiling_uv` integer,
	`stock_clock_khz` integer,
	`stock_voltage_uv` integer,
	`clock_step_khz` integer NOT NULL,
	`voltage_step_uv` integer NOT NULL,
	`sensor_accuracy_c` real NOT NULL,
	`note` text NOT NULL,
	CONSTRAINT "chips_kind" CHECK("chips"."kind" IN ('cpu', 'gpu', 'memory')),
	CONSTRAINT "chips_steps" CHECK("chips"."clock_step_khz" > 0 AND "chips"."voltage_step_uv" > 0)
) STRICT;
--> statement-breakpoint
CREATE INDEX `chips_by_name` ON `chips` (`name`,`id`);--> statement-breakpoint
CREATE TABLE `heartbeats` (
	`attempt_id` text NOT NULL,
	`source` text NOT NULL,
	`elapsed_s` real NOT NULL,
	`at` integer NOT NULL,
	`temp_c` real,
	`power_w` real,
	`load_voltage_uv` integer,
	PRIMARY KEY(`attempt_id`, `source`),
	FOREIGN KEY (`attempt_id`) REFERENCES `attempts`(`id`) ON UPDATE no action ON DELETE cascade,
	CONSTRAINT "heartbeats_source" CHECK("heartbeats"."source" IN ('machine', 'watcher'))
) STRICT;
--> statement-breakpoint
CREATE TABLE `import_mappings` (
	`header` text PRIMARY KEY NOT NULL,
	`mapping` text NOT NULL,
	`at` integer NOT NULL
) STRICT;
--> statement-breakpoint
CREATE TABLE `mounts` (
	`id` text PRIMARY KEY NOT NULL,
	`created_at` integer NOT NULL,
	`updated_at` integer NOT NULL,
	`version` integer DEFAULT 1 NOT NULL,
	`deleted_at` integer,
	`build_id` text NOT NULL,
	`mounted_at` integer,
	`paste` text,
	`note` text NOT NULL,
	FOREIGN KEY (`build_id`) REFERENCES `builds`(`id`) ON UPDATE no action ON DELETE cascade
) STRICT;
--> statement-breakpoint
CREATE INDEX `mounts_by_build` ON `mounts` (`build_id`,`mounted_at`);--> statement-breakpoint
CREATE TABLE `noise_readings` (
	`id` text PRIMARY KEY NOT NULL,
	`created_at` integer NOT NULL,
	`updated_at` integer NOT NULL,
	`version` integer DEFAULT 1 NOT NULL,
	`deleted_at` integer,
	`build_id` text NOT NULL,
	`workload_id` text,
	`clock_khz` integer,
	`voltage_uv` integer,
	`distance_m` real NOT NULL,
	`levels_dba` text NOT NULL,
	`background_dba` real,
	`taken_at` integer NOT NULL,
	`note` text NOT NULL,
	FOREIGN KEY (`build_id`) REFERENCES `builds`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`workload_id`) REFERENCES `workloads`(`id`) ON UPDATE no action ON DELETE no action
) STRICT;
--> statement-breakpoint
CREATE INDEX `noise_readings_by_build` ON `noise_readings` (`build_id`,`taken_at`,`id`);--> statement-breakpoint
CREATE TABLE `rules` (
	`id` text PRIMARY KEY NOT NULL,
	`created_at` integer NOT NULL,
	`updated_at` integer NOT NULL,
	`version` integer DEFAULT 1 NOT NULL,
	`deleted_at` integer,
	`name` text NOT NULL,
	`requires` text NOT NULL,
	CONSTRAINT "rules_requires" CHECK(json_valid("rules"."requires"))
) STRICT;
--> statement-breakpoint
CREATE INDEX `rules_by_name` ON `rules` (`name`,`id`);--> statement-breakpoint
CREATE TABLE `workloads` (
	`id` text PRIMARY KEY NOT NULL,
	`created_at` integer NOT NULL,
	`updated_at` integer NOT NULL,
	`version` integer DEFAULT 1 NOT NULL,
	`deleted_at` integer,
	`name` text NOT NULL,
	`kind` text NOT NULL,
	`severity` integer,
	`score_unit` text,
	`score_better` text,
	`note` text NOT NULL,
	CONSTRAINT "workloads_kind" CHECK("workloads"."kind" IN ('idle', 'all-core', 'single-core', 'vector', 'memory', 'graphics', 'mixed', 'everyday', 'transition'))
) STRICT;
--> statement-breakpoint
CREATE INDEX `workloads_by_name` ON `workloads` (`name`,`id`);