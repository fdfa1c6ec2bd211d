CREATE TABLE `capture_sensors` (
	`sensor` text PRIMARY KEY NOT NULL,
	`channel` text NOT NULL,
	`recorded` integer NOT NULL,
	`chosen_at` integer NOT NULL
) STRICT;
