import { isHeard } from "../../answers/attendants.ts";
import { type ReadBack, readBackOf, type SettingRead } from "../../bench/runs/settingRead.ts";
import type { Attempt } from "../../bench/things/attempt.ts";
import type { AttendantHeard, ProposalShown } from "../../bench/things/attendant.ts";
import type { Chip } from "../../bench/things/chip.ts";
import type { Heartbeat } from "../../bench/things/heartbeat.ts";
import { isCrash } from "../../bench/things/outcome.ts";
import type { PageContext } from "../kit/context.ts";
import type { Typed } from "../kit/forms.ts";
import { type Pursuit, pursuitIn } from "../kit/pursuit.tsx";

/** The machine under test as its attendant tells of it, and what the page has to do with it. */
export type AttendedShown = Readonly<{
  buildId: string;
  /** What the page is after: the one that comes in its place is after the same. */
  pursuit: Pursuit;
  /** Null where nobody attends the build. */
  attendant: AttendantHeard | null;
  isHeard: boolean;
  silentS: number;
  /** The attempt that goes on, whoever runs it. */
  running: Attempt | null;
  /** True where its attendant says that it runs this very attempt. */
  isRunner: boolean;
  /** The last thing the machine itself said of it. */
  beat: Heartbeat | null;
  /** The newest attempt that has ended. */
  last: Attempt | null;
  /** What somebody was told to set before the machine came up. */
  toldToSet: ProposalShown | null;
  /** Another one means that the page is about something else now. */
  key: string;
}>;

export function attendedShown(
  { journal, attendants, now }: PageContext,
  buildId: string,
  query: Typed,
): AttendedShown {
  const at = now();
  const attendant = attendants.of(buildId, at);
  const running = journal.attempts.runningOf(buildId) ?? null;
  const isRunner = attendant?.state === "running" && attendant.attemptId === running?.id;
  const [newest, second] = journal.attempts.pageOf(buildId, { limit: 2, after: null }).items;
  const heard = attendant !== null && isHeard(attendant, at);
  return {
    buildId,
    pursuit: pursuitIn(query),
    attendant,
    isHeard: heard,
    silentS: attendant === null ? 0 : Math.max(0, (Date.parse(at) - Date.parse(attendant.heardAt)) / 1000),
    running,
    isRunner,
    beat: (running && journal.attempts.lastHeartbeat(running.id, "machine")) ?? null,
    last: (newest?.outcome === "running" ? second : newest) ?? null,
    toldToSet: attendants.shown(buildId),
    key: [attendant === null ? "none" : heard ? attendant.state : "silent", newest?.id, newest?.version].join(
      ".",
    ),
  };
}

/** It has come up anew and asks whether it is set as proposed. */
export const isBooted = ({ attendant, isHeard: heard, running }: AttendedShown): boolean =>
  heard && running === null && attendant?.state === "booted";

/** An evening's machine that has run since it started: it has to be set and started anew before the next. */
export const isToBeSet = ({ attendant, isHeard: heard, running }: AttendedShown): boolean =>
  heard && running === null && attendant?.state === "here" && attendant.evening === true;

export type ProposalRead = ReadBack &
  Readonly<{
    /** It looks as if it had fallen back to its defaults. */
    isStock: boolean;
    /** It reads what somebody was told to set, and nothing died: it waits for no tap. */
    startsByItself: boolean;
  }>;

/** What the machine reads at rest beside what is proposed. */
export function proposalRead(
  { attendant, last, toldToSet }: AttendedShown,
  proposed: SettingRead,
  chip: Chip,
): ProposalRead {
  const read = { clockMhz: attendant?.reads?.clockMhz ?? null, voltageMv: null };
  const stock = { clockMhz: chip.stockClockMhz, voltageMv: chip.stockVoltageMv };
  const others = last === null ? [stock] : [stock, last];
  const back = readBackOf({ asked: proposed, read, others, droopMv: null });
  const isStock =
    back.says === "differs" &&
    readBackOf({ asked: stock, read, others: [], droopMv: null }).says === "confirmed";
  const isTold = toldToSet?.clockMhz === proposed.clockMhz && toldToSet.voltageMv === proposed.voltageMv;
  const startsByItself = back.says === "confirmed" && isTold && last !== null && !isCrash(last.outcome);
  return { ...back, isStock, startsByItself };
}
