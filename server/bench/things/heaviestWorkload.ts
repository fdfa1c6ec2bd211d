import type { Workload, WorkloadKind } from "./workload.ts";

/** How heavy a kind of load usually is (common practice), where no severity is entered. */
const weightOfKind: Readonly<Record<WorkloadKind, number>> = {
  vector: 8,
  "all-core": 7,
  graphics: 6,
  mixed: 5,
  memory: 4,
  transition: 3,
  "single-core": 2,
  everyday: 1,
  idle: 0,
};

/** The heaviest load among those with attempts, else among all: by severity where entered, else by kind. */
export function heaviestOf(workloads: readonly Workload[], tried: ReadonlySet<string>): string | null {
  const loads = workloads.filter(({ kind }) => kind !== "idle");
  const known = loads.filter(({ id }) => tried.has(id));
  const heaviest = [...(known.length > 0 ? known : loads)].sort(heavierFirst)[0];
  return heaviest?.id ?? [...tried][0] ?? null;
}

const heavierFirst = (a: Workload, b: Workload): number => {
  const bySeverity = a.severity !== null && b.severity !== null ? b.severity - a.severity : 0;
  return bySeverity || weightOfKind[b.kind] - weightOfKind[a.kind] || (a.id < b.id ? -1 : 1);
};
