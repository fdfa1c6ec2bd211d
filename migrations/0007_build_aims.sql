CREATE TABLE `kept_answers` (
	`build_id` text NOT NULL,
	`use` text NOT NULL,
	`goal` text NOT NULL,
	`form` integer NOT NULL,
	`answer` text NOT NULL,
	PRIMARY KEY(`build_id`, `use`, `goal`),
	FOREIGN KEY (`build_id`) REFERENCES `builds`(`id`) ON UPDATE no action ON DELETE cascade
) STRICT;
--> statement-breakpoint
ALTER TABLE `builds` ADD `use` text DEFAULT 'benchmark' NOT NULL;--> statement-breakpoint
ALTER TABLE `builds` ADD `goal` text DEFAULT 'clock' NOT NULL;