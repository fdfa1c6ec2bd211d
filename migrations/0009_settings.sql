CREATE TABLE `attempt_outputs` (
	`attempt_id` text PRIMARY KEY NOT NULL,
	`output` text NOT NULL,
	FOREIGN KEY (`attempt_id`) REFERENCES `attempts`(`id`) ON UPDATE no action ON DELETE cascade
) STRICT;
--> statement-breakpoint
CREATE TABLE `build_versions` (
	`id` text PRIMARY KEY NOT NULL,
	`created_at` integer NOT NULL,
	`updated_at` integer NOT NULL,
	`version` integer DEFAULT 1 NOT NULL,
	`deleted_at` integer,
	`build_id` text NOT NULL,
	`of` text NOT NULL,
	`name` text NOT NULL,
	`since` integer,
	`note` text NOT NULL,
	FOREIGN KEY (`build_id`) REFERENCES `builds`(`id`) ON UPDATE no action ON DELETE cascade,
	CONSTRAINT "build_versions_of" CHECK("build_versions"."of" IN ('firmware', 'driver'))
) STRICT;
--> statement-breakpoint
CREATE INDEX `build_versions_by_build` ON `build_versions` (`build_id`,`since`);--> statement-breakpoint
PRAGMA foreign_keys=OFF;--> statement-breakpoint
CREATE TABLE `__new_attempts` (
	`id` text PRIMARY KEY NOT NULL,
	`created_at` integer NOT NULL,
	`updated_at` integer NOT NULL,
	`version` integer DEFAULT 1 NOT NULL,
	`deleted_at` integer,
	`build_id` text NOT NULL,
	`mount_id` text NOT NULL,
	`state_id` integer NOT NULL,
	`workload_id` text NOT NULL,
	`clock_khz` integer,
	`voltage_uv` integer,
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
	`checksum` integer,
	`offset_thousandths` integer,
	`offsets` text,
	`part` text,
	`crash_part` text,
	`knobs` text,
	`setting_read_back` text,
	`fresh_boot` integer,
	`training` text,
	`starts` text,
	`cycles` integer,
	`coverage_pct` real,
	`errors` text,
	`temps` text,
	`lowest_temp_c` real,
	`corrected_errors_at` text,
	`told_by` text,
	`load_proved` integer,
	`boot_id` text,
	FOREIGN KEY (`build_id`) REFERENCES `builds`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`mount_id`) REFERENCES `mounts`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`state_id`) REFERENCES `build_states`(`id`) ON UPDATE no action ON DELETE no action,
	FOREIGN KEY (`workload_id`) REFERENCES `workloads`(`id`) ON UPDATE no action ON DELETE no action,
	CONSTRAINT "attempts_outcome" CHECK("__new_attempts"."outcome" IN ('running', 'pass', 'stopped', 'no-start', 'fell-back', 'freeze', 'restart', 'system-error', 'app-closed', 'driver-reset', 'wrong-result', 'too-hot', 'power-cut', 'disturbed', 'died', 'artefacts', 'slower', 'load-stalled', 'setting-lost', 'too-cold', 'supply-tripped')),
	CONSTRAINT "attempts_clock" CHECK("__new_attempts"."clock_khz" BETWEEN 1000 AND 20000000),
	CONSTRAINT "attempts_voltage" CHECK("__new_attempts"."voltage_uv" BETWEEN 100000 AND 3000000),
	CONSTRAINT "attempts_setting" CHECK(coalesce("__new_attempts"."clock_khz", "__new_attempts"."offset_thousandths", "__new_attempts"."offsets") IS NOT NULL),
	CONSTRAINT "attempts_ended" CHECK(("__new_attempts"."outcome" = 'running') = ("__new_attempts"."duration_s" IS NULL)),
	CONSTRAINT "attempts_duration" CHECK("__new_attempts"."duration_s" BETWEEN 0 AND 2592000)
) STRICT;
--> statement-breakpoint
INSERT INTO `__new_attempts`("id", "created_at", "updated_at", "version", "deleted_at", "build_id", "mount_id", "state_id", "workload_id", "clock_khz", "voltage_uv", "outcome", "duration_s", "started_at", "planned_s", "ambient_c", "load_temp_c", "peak_temp_c", "start_temp_c", "supply_temp_c", "load_voltage_uv", "voltage_read_at", "load_line", "current_a", "power_w", "power_at", "fan_rpm", "fan_mode", "effective_clock_khz", "throttled", "corrected_errors", "start_kind", "clock_mode", "also_set", "score", "note", "tags", "failed_from_s", "failed_to_s", "above_ceiling", "set_aside_reason", "set_aside_at", "traced", "checksum") SELECT "id", "created_at", "updated_at", "version", "deleted_at", "build_id", "mount_id", "state_id", "workload_id", "clock_khz", "voltage_uv", "outcome", "duration_s", "started_at", "planned_s", "ambient_c", "load_temp_c", "peak_temp_c", "start_temp_c", "supply_temp_c", "load_voltage_uv", "voltage_read_at", "load_line", "current_a", "power_w", "power_at", "fan_rpm", "fan_mode", "effective_clock_khz", "throttled", "corrected_errors", "start_kind", "clock_mode", "also_set", "score", "note", "tags", "failed_from_s", "failed_to_s", "above_ceiling", "set_aside_reason", "set_aside_at", "traced", "checksum" FROM `attempts`;--> statement-breakpoint
DROP TABLE `attempts`;--> statement-breakpoint
ALTER TABLE `__new_attempts` RENAME TO `attempts`;--> statement-breakpoint
PRAGMA foreign_keys=ON;--> statement-breakpoint
CREATE INDEX `attempts_by_build` ON `attempts` (`build_id`,`started_at`,`id`);--> statement-breakpoint
CREATE UNIQUE INDEX `attempts_one_running` ON `attempts` (`build_id`) WHERE outcome = 'running' AND deleted_at IS NULL;--> statement-breakpoint
ALTER TABLE `chips` ADD `axis` text DEFAULT 'clock' NOT NULL;--> statement-breakpoint
ALTER TABLE `chips` ADD `offset` text;--> statement-breakpoint
ALTER TABLE `chips` ADD `parts` text;--> statement-breakpoint
ALTER TABLE `chips` ADD `model` text;--> statement-breakpoint
ALTER TABLE `chips` ADD `clock_unit` text DEFAULT 'MHz' NOT NULL;--> statement-breakpoint
ALTER TABLE `chips` ADD `clock_grid` text;--> statement-breakpoint
ALTER TABLE `chips` ADD `voltage_name` text;--> statement-breakpoint
ALTER TABLE `chips` ADD `base_clock_khz` integer;--> statement-breakpoint
ALTER TABLE `chips` ADD `stock_curve` text;--> statement-breakpoint
ALTER TABLE `chips` ADD `knobs` text;--> statement-breakpoint
ALTER TABLE `chips` ADD `limits` text;--> statement-breakpoint
ALTER TABLE `chips` ADD `main_place` text;--> statement-breakpoint
ALTER TABLE `chips` ADD `control_offset_c` real;--> statement-breakpoint
ALTER TABLE `chips` ADD `applied_by` text DEFAULT 'firmware' NOT NULL;--> statement-breakpoint
ALTER TABLE `chips` ADD `shared_supply` integer DEFAULT false NOT NULL;--> statement-breakpoint
ALTER TABLE `chips` ADD `automatic_voltage` integer DEFAULT false NOT NULL;--> statement-breakpoint
ALTER TABLE `chips` ADD `lowest_temp_c` real;--> statement-breakpoint
ALTER TABLE `chips` ADD `modules` text;--> statement-breakpoint
ALTER TABLE `heartbeats` ADD `clock_khz` integer;--> statement-breakpoint
ALTER TABLE `heartbeats` ADD `corrected_errors` text;--> statement-breakpoint
ALTER TABLE `heartbeats` ADD `boot_id` text;