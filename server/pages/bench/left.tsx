import type { BuildAnswer } from "../../answers/answerOf.ts";
import { nearerInWords } from "../../bench/best/answerWords.ts";
import type { LeaveRunning as LeftRunning } from "../../bench/next/nextAnswer.ts";
import { chanceInWords } from "../../bench/next/nextWords.ts";
import { formatDuration, formatMilli } from "../../html/format.ts";
import { useClockUnit } from "../kit/clockUnit.ts";
import { SettingInWords } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";
import type { Left } from "./leftShown.ts";
import type { Trying } from "./shown.ts";

type Props = Readonly<{ buildId: string; answer: BuildAnswer; trying: Trying; left: Left }>;

/** More, for whoever likes: other voltages, nearer, a night left running, another load, another mount. */
export const WhatIsLeft = ({ buildId, answer, trying, left }: Props) => {
  const { leaveRunning } = trying.advice;
  const others = left.voltagesMv.filter((mv) => mv !== answer.setting?.voltageMv);
  const { voltagesMv, load, mountedAgain, againstUnattended } = left;
  return (
    <ul class="rows" aria-label="What is left">
      {others.length === 0 ? null : (
        <li>
          <a href={paths.bench({ build: buildId, aim: "map", voltages: voltagesMv.join(",") })}>
            Other voltages
          </a>
          : {others.map((mv) => formatMilli(mv)).join(", ")} V.
        </li>
      )}
      {answer.nearer === null ? null : <li>Nearer here: {nearerInWords(answer.nearer, useClockUnit())}.</li>}
      {leaveRunning === null || againstUnattended === null ? null : (
        <LeaveRunning {...{ buildId, against: againstUnattended, run: leaveRunning }} />
      )}
      {load === null ? null : (
        <li>
          <a href={paths.bench({ build: buildId, workloadId: load.id, load: load.id })}>
            Another load: {load.name}
          </a>
          , which has not run on this build.
        </li>
      )}
      {mountedAgain ? null : (
        <li>
          <a href={paths.mounts(buildId)}>A second mount</a> says how far mounts scatter.
        </li>
      )}
    </ul>
  );
};

type LeaveProps = Readonly<{ buildId: string; run: LeftRunning; against: readonly string[] }>;

/** Offered where nothing stands against it; else what does is said. */
const LeaveRunning = ({ buildId, run, against }: LeaveProps) => {
  const words = (
    <>
      Leave it running: <SettingInWords {...run} />
    </>
  );
  const { clockMhz, voltageMv, durationS, chanceOfPass } = run;
  const address = paths.bench({ build: buildId, clockMhz, voltageMv, minutes: durationS / 60 });
  return (
    <li>
      {against.length === 0 ? <a href={address}>{words}</a> : words}, {formatDuration(durationS)}, passes{" "}
      {chanceInWords(chanceOfPass)}.{" "}
      {against.length === 0 ? "It ends at the first death." : `Not with nobody there: ${against.join("; ")}.`}
    </li>
  );
};
