import type { Outcome } from "../bench/things/outcome.ts";
import type { WorkloadKind } from "../bench/things/workload.ts";
import { waysOfWork } from "./loadProof.ts";

/**
 * What the server says to an attendant that says it is here: what is armed, and what is known of the chip. Nothing in it
 * is ever run: the command comes from the command line of the machine under test alone.
 */
export type Word = Readonly<{
  /** The server's clock, ISO 8601. */
  now: string;
  chip: Readonly<{
    kind: "cpu" | "gpu" | "memory";
    tempLimitC: number;
    supplyTempLimitC: number | null;
    /** Of other places than the chip's main one, by name. */
    limits: Readonly<Record<string, number>>;
    stock: Readonly<{ clockMhz: number | null; voltageMv: number | null }>;
    /** Whether a clock and a voltage that are read tell what is set. */
    settingShows: boolean;
  }>;
  armed: Armed | null;
  /** What somebody was told to set; null where nobody was. */
  proposed: Readonly<{
    clockMhz: number;
    voltageMv: number;
    workloadId: string;
    durationS: number;
    /** What else stood so; it goes back with the attempt as it came. */
    besides: Readonly<Record<string, unknown>>;
  }> | null;
  /** The newest attempt of the build that has ended. */
  last: Readonly<{
    attemptId: string;
    outcome: Outcome;
    clockMhz: number | null;
    voltageMv: number | null;
  }> | null;
}>;

export type Armed = Readonly<{
  attemptId: string;
  /** What it is set to, in words. */
  words: string;
  clockMhz: number | null;
  voltageMv: number | null;
  workloadId: string;
  workloadName: string;
  workloadKind: WorkloadKind;
  plannedS: number | null;
  /** How far the machine under test said it got; null where it has not begun. */
  heardS: number | null;
}>;

// biome-ignore lint/suspicious/noExplicitAny: what another machine answers is looked at field by field
type Told = any;

/** The word in an answer; null where it is none. Only these fields are ever looked at. */
export function wordIn(body: Told): Word | null {
  if (typeof body?.now !== "string" || typeof body.chip?.tempLimitC !== "number") return null;
  const { chip, armed, last } = body;
  return {
    now: body.now,
    chip: {
      kind: ["gpu", "memory"].includes(chip.kind) ? chip.kind : "cpu",
      tempLimitC: chip.tempLimitC,
      supplyTempLimitC: numberOr(chip.supplyTempLimitC),
      limits: numbersIn(chip.limits),
      stock: { clockMhz: numberOr(chip.stockClockMhz), voltageMv: numberOr(chip.stockVoltageMv) },
      settingShows: chip.settingShows !== false,
    },
    armed: armedIn(armed),
    proposed: proposedIn(body.proposed),
    last:
      typeof last?.id === "string"
        ? {
            attemptId: last.id,
            outcome: last.outcome,
            clockMhz: numberOr(last.clockMhz),
            voltageMv: numberOr(last.voltageMv),
          }
        : null,
  };
}

function proposedIn(proposed: Told): Word["proposed"] {
  const [clockMhz, voltageMv, durationS] = [proposed?.clockMhz, proposed?.voltageMv, proposed?.durationS].map(
    numberOr,
  );
  if (clockMhz == null || voltageMv == null || durationS == null) return null;
  const { knobs, ambientC, fanMode } = proposed.besides ?? {};
  return {
    ...{ clockMhz, voltageMv, durationS, workloadId: String(proposed.workloadId) },
    besides: { knobs, ambientC, fanMode },
  };
}

function armedIn(armed: Told): Armed | null {
  if (typeof armed?.id !== "string" || !/^[0-9a-f-]{36}$/.test(armed.id)) return null;
  return {
    attemptId: armed.id,
    words: String(armed.words ?? `${armed.clockMhz} MHz at ${armed.voltageMv} mV`),
    clockMhz: numberOr(armed.clockMhz),
    voltageMv: numberOr(armed.voltageMv),
    workloadId: String(armed.workloadId),
    workloadName: String(armed.workload?.name ?? ""),
    workloadKind: kindIn(armed.workload?.kind),
    plannedS: numberOr(armed.plannedS),
    heardS: numberOr(armed.heardS),
  };
}

const kindIn = (kind: unknown): WorkloadKind =>
  typeof kind === "string" && Object.hasOwn(waysOfWork, kind) ? (kind as WorkloadKind) : "mixed";

const numbersIn = (told: Told): Record<string, number> =>
  Object.fromEntries(
    Object.entries((told ?? {}) as Record<string, unknown>).filter(
      (one): one is [string, number] => numberOr(one[1]) !== null,
    ),
  );

const numberOr = (value: unknown): number | null =>
  typeof value === "number" && Number.isFinite(value) ? value : null;
