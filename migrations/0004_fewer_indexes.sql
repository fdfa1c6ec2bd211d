DROP INDEX `attempts_by_workload`;--> statement-breakpoint
DROP INDEX `attempts_by_mount`;