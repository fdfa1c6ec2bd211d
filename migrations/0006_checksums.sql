ALTER TABLE `attempts` ADD `checksum` integer;--> statement-breakpoint
ALTER TABLE `trace_chunks` ADD `checksum` integer;