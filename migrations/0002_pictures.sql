CREATE TABLE `picture_images` (
	`picture_id` text PRIMARY KEY NOT NULL,
	`bytes` blob NOT NULL,
	FOREIGN KEY (`picture_id`) REFERENCES `pictures`(`id`) ON UPDATE no action ON DELETE cascade
) STRICT;
--> statement-breakpoint
CREATE TABLE `pictures` (
	`id` text PRIMARY KEY NOT NULL,
	`created_at` integer NOT NULL,
	`updated_at` integer NOT NULL,
	`version` integer DEFAULT 1 NOT NULL,
	`deleted_at` integer,
	`build_id` text NOT NULL,
	`mount_id` text,
	`attempt_id` text,
	`caption` text NOT NULL,
	`type` text NOT NULL,
	`width_px` integer NOT NULL,
	`height_px` integer NOT NULL,
	`size_bytes` integer NOT NULL,
	FOREIGN KEY (`build_id`) REFERENCES `builds`(`id`) ON UPDATE no action ON DELETE cascade,
	FOREIGN KEY (`mount_id`) REFERENCES `mounts`(`id`) ON UPDATE no action ON DELETE cascade,
	FOREIGN KEY (`attempt_id`) REFERENCES `attempts`(`id`) ON UPDATE no action ON DELETE cascade,
	CONSTRAINT "pictures_type" CHECK("pictures"."type" IN ('image/jpeg', 'image/png', 'image/webp')),
	CONSTRAINT "pictures_of_one" CHECK("pictures"."mount_id" IS NULL OR "pictures"."attempt_id" IS NULL)
) STRICT;
--> statement-breakpoint
CREATE INDEX `pictures_by_build` ON `pictures` (`build_id`,`id`);--> statement-breakpoint
CREATE INDEX `pictures_by_mount` ON `pictures` (`mount_id`);--> statement-breakpoint
CREATE INDEX `pictures_by_attempt` ON `pictures` (`attempt_id`);--> statement-breakpoint
CREATE TABLE `write_up_words` (
	`builds` text NOT NULL,
	`slot` text NOT NULL,
	`words` text NOT NULL,
	`replaced` text NOT NULL,
	`updated_at` integer NOT NULL,
	PRIMARY KEY(`builds`, `slot`)
) STRICT;
