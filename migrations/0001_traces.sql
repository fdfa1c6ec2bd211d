CREATE TABLE `column_matches` (
	`header` text PRIMARY KEY NOT NULL,
	`matches` text NOT NULL,
	`kept_at` integer NOT NULL
) STRICT;
--> statement-breakpoint
CREATE TABLE `trace_channels` (
	`id` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`trace_id` integer NOT NULL,
	`place` integer NOT NULL,
	`channel` text NOT NULL,
	`unit` text NOT NULL,
	FOREIGN KEY (`trace_id`) REFERENCES `traces`(`id`) ON UPDATE no action ON DELETE cascade
) STRICT;
--> statement-breakpoint
CREATE UNIQUE INDEX `trace_channels_by_name` ON `trace_channels` (`trace_id`,`channel`);--> statement-breakpoint
CREATE TABLE `trace_chunks` (
	`channel_id` integer NOT NULL,
	`chunk` integer NOT NULL,
	`packed` blob NOT NULL,
	PRIMARY KEY(`channel_id`, `chunk`),
	FOREIGN KEY (`channel_id`) REFERENCES `trace_channels`(`id`) ON UPDATE no action ON DELETE cascade
) STRICT;
--> statement-breakpoint
CREATE TABLE `trace_overviews` (
	`channel_id` integer NOT NULL,
	`level` integer NOT NULL,
	`buckets` blob NOT NULL,
	PRIMARY KEY(`channel_id`, `level`),
	FOREIGN KEY (`channel_id`) REFERENCES `trace_channels`(`id`) ON UPDATE no action ON DELETE cascade
) STRICT;
--> statement-breakpoint
CREATE TABLE `traces` (
	`id` integer PRIMARY KEY AUTOINCREMENT NOT NULL,
	`attempt_id` text NOT NULL,
	`rows` integer NOT NULL,
	`from_s` real NOT NULL,
	`to_s` real NOT NULL,
	`started_at` integer,
	`source` text NOT NULL,
	`kept_at` integer NOT NULL,
	FOREIGN KEY (`attempt_id`) REFERENCES `attempts`(`id`) ON UPDATE no action ON DELETE cascade
) STRICT;
--> statement-breakpoint
CREATE UNIQUE INDEX `traces_by_attempt` ON `traces` (`attempt_id`);