import type { ProposalTold } from "../../answers/proposal.ts";
import type { Workload } from "../../bench/things/workload.ts";
import { formatDuration } from "../../html/format.ts";
import type { Typed } from "../kit/forms.ts";
import { SettingInWords } from "../kit/settingWords.tsx";
import type { HeatAtSetting } from "./shown.ts";

/** A proposal as the form takes it along, so that turned dials can be told apart from it. */
type SettingProposed = Pick<
  ProposalTold,
  "clockMhz" | "voltageMv" | "workloadId" | "durationS" | "expectedMinutes"
>;

/** What the dials stand at, beside what is proposed. */
export type Dialled = Readonly<{
  proposed: SettingProposed;
  /** Null where the dials name no setting. */
  set: HeatAtSetting | null;
  /** The load on the dial; null where none is chosen. */
  load: Workload | null;
}>;

const proposedField = "proposed";

/** Goes along unseen in the form. */
export const ProposedField = ({ proposed }: Pick<Dialled, "proposed">) => (
  <input type="hidden" name={proposedField} value={written(proposed)} />
);

const written = ({ clockMhz, voltageMv, durationS, expectedMinutes, workloadId }: SettingProposed): string =>
  [clockMhz, voltageMv, durationS, expectedMinutes ?? "", workloadId].join("@");

/** Null where the form named none that can be read. */
export function proposedIn(typed: Typed): SettingProposed | null {
  const [clock, voltage, duration, expected, workloadId = ""] = (typed[proposedField] ?? "").split("@");
  const [clockMhz, voltageMv, durationS] = [Number(clock), Number(voltage), Number(duration)];
  const isRead = clockMhz > 0 && clockMhz <= 20_000 && voltageMv > 0 && voltageMv <= 3000 && durationS > 0;
  if (!isRead || !Number.isFinite(durationS)) return null;
  const minutes = Number(expected);
  const expectedMinutes = expected && Number.isFinite(minutes) && minutes > 0 ? minutes : null;
  return { clockMhz, voltageMv, durationS, expectedMinutes, workloadId };
}

type Piece = Readonly<{ dialled: Dialled; swap?: boolean }>;

const swaps = (swap: boolean | undefined) => (swap ? { "hx-swap-oob": "true" } : {});

/** The setting on the dials, for the heading above them. */
export const DialledSetting = ({ dialled: { set, proposed }, swap }: Piece) => (
  <span id="dialled" {...swaps(swap)}>
    <SettingInWords {...(set ?? proposed)} />
  </span>
);

/** What a run takes on the whole: more than itself where setting up tells, less where it will likely fail. */
function takenInWords({ expectedMinutes, durationS }: Dialled["proposed"]): string {
  if (expectedMinutes === null) return "";
  const takesS = 60 * Math.max(1, Math.round(expectedMinutes));
  const why = takesS > durationS ? "with setting up" : "on average";
  return `, ${formatDuration(takesS)} ${why}`;
}

/** How long it runs and takes up the bench; of dials turned elsewhere, what was proposed. */
export const DialledTime = ({ dialled, swap }: Piece) => {
  const { proposed, set, load } = dialled;
  return (
    <span id="dialled-for" {...swaps(swap)}>
      {isAsProposed(dialled) ? (
        <>
          For <b>{formatDuration(proposed.durationS)}</b>
          {takenInWords(proposed)}.
        </>
      ) : (
        <>
          {set?.plannedS ? (
            <>
              For <b>{formatDuration(set.plannedS)}</b>
              {underOther(dialled) ? ` under ${load?.name}` : ""}.{" "}
            </>
          ) : null}
          Proposed: <SettingInWords {...proposed} />, {formatDuration(proposed.durationS)}.
        </>
      )}
    </span>
  );
};

const underOther = ({ proposed, load }: Dialled): boolean => load !== null && load.id !== proposed.workloadId;

const isAsProposed = (dialled: Dialled): boolean => {
  const { proposed, set } = dialled;
  return (
    set === null ||
    (set.clockMhz === proposed.clockMhz &&
      set.voltageMv === proposed.voltageMv &&
      set.plannedS === proposed.durationS &&
      !underOther(dialled))
  );
};
