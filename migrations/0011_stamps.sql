CREATE TABLE `merge_steps` (
	`id` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`merge_id` text NOT NULL,
	`list` text NOT NULL,
	`thing_id` text NOT NULL,
	`before` text,
	`left` text NOT NULL,
	`checksum` integer,
	FOREIGN KEY (`merge_id`) REFERENCES `merges`(`id`) ON UPDATE no action ON DELETE cascade
) STRICT;
--> statement-breakpoint
CREATE INDEX `merge_steps_by_merge` ON `merge_steps` (`merge_id`);--> statement-breakpoint
CREATE TABLE `merges` (
	`id` text PRIMARY KEY NOT NULL,
	`at` integer NOT NULL,
	`added` integer NOT NULL,
	`updated` integer NOT NULL,
	`checksum` integer
) STRICT;
--> statement-breakpoint
CREATE TABLE `thing_edits` (
	`id` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`thing_id` text NOT NULL,
	`at` integer NOT NULL,
	`changes` text NOT NULL,
	`stamp` text,
	`seen` text,
	`checksum` integer
) STRICT;
--> statement-breakpoint
CREATE INDEX `thing_edits_by_thing` ON `thing_edits` (`thing_id`,`id`);--> statement-breakpoint
ALTER TABLE `attempt_edits` ADD `stamp` text;--> statement-breakpoint
ALTER TABLE `attempt_edits` ADD `seen` text;--> statement-breakpoint
ALTER TABLE `attempts` ADD `stamps` text;--> statement-breakpoint
ALTER TABLE `boards` ADD `stamps` text;--> statement-breakpoint
ALTER TABLE `build_versions` ADD `stamps` text;--> statement-breakpoint
ALTER TABLE `builds` ADD `stamps` text;--> statement-breakpoint
ALTER TABLE `chips` ADD `stamps` text;--> statement-breakpoint
ALTER TABLE `mounts` ADD `stamps` text;--> statement-breakpoint
ALTER TABLE `noise_readings` ADD `stamps` text;--> statement-breakpoint
ALTER TABLE `rules` ADD `stamps` text;--> statement-breakpoint
ALTER TABLE `workloads` ADD `stamps` text;--> statement-breakpoint
ALTER TABLE `pictures` ADD `stamps` text;--> statement-breakpoint
ALTER TABLE `write_up_words` ADD `stamp` text;--> statement-breakpoint
ALTER TABLE `write_up_words` ADD `dropped` integer;