import type { BuildAnswer } from "../../answers/answerOf.ts";
import { chanceInWords } from "../../bench/next/nextWords.ts";
import type { Workload } from "../../bench/things/workload.ts";
import { Button, ButtonLink } from "../../html/act.tsx";
import { EntryHeading, LineWithMore } from "../../html/entry.tsx";
import { formatDuration } from "../../html/format.ts";
import { RefusalNote } from "../../html/note.tsx";
import { OnceField } from "../kit/once.tsx";
import { PursuitFields } from "../kit/pursuit.tsx";
import { paths } from "../paths.ts";
import { pursuitOf } from "./advised.ts";
import { type AttendedShown, type ProposalRead, proposalRead } from "./attendedShown.ts";
import type { BuildAtBench, Trying } from "./shown.ts";
import { posts } from "./swaps.ts";
import type { ToSet } from "./toSet.ts";

type Props = Readonly<{
  attended: AttendedShown;
  trying: Trying;
  toSet: ToSet;
  shown: BuildAtBench;
  workloads: readonly Workload[];
  once: string;
  first: boolean;
  answer: BuildAnswer;
}>;

/** The machine has started anew and asks: one tap, and it runs what is proposed. */
export const BootedBody = ({ attended, trying, toSet, shown, workloads, once, first }: Props) => {
  const { build, chip } = shown;
  const address = paths.attempts(build.id);
  const read = proposalRead(attended, toSet.asRead, chip);
  const name = attended.attendant?.name ?? "";
  const load = workloads.find(({ id }) => id === toSet.typed.workloadId)?.name ?? "the load";
  return (
    <>
      <EntryHeading first={first} data-arrival={bootedWords(read)}>
        {bootedWords(read)}
      </EntryHeading>
      <p class="setting">{toSet.words}</p>
      <p class="lead">{toSet.proposal === null ? unreadWords : readInWords(read, attended)}</p>
      <RefusalNote refused={trying.form.refused} />
      <form method="post" action={address} id="booted">
        {Object.entries(toSet.typed).map(([field, value]) =>
          value === undefined ? null : <input key={field} type="hidden" name={field} value={value} />,
        )}
        <OnceField once={once} />
        <PursuitFields pursuit={pursuitOf(trying.asked)} />
        <div class="stack">
          {read.isStock ? (
            <Button
              first
              wide
              letter="k"
              name="outcome"
              value="fell-back"
              more={posts(address, "booted-fell-back")}
            >
              It fell back
            </Button>
          ) : null}
          <Button
            first={!read.isStock && !read.startsByItself}
            wide
            letter="a"
            name="outcome"
            value="running"
            more={posts(address, "arm")}
          >
            Yes, as proposed
          </Button>
          <ButtonLink wide href={paths.bench({ build: build.id, otherwise: 1, ...pursuitOf(trying.asked) })}>
            Set otherwise
          </ButtonLink>
          <Button wide letter="n" name="outcome" value="no-start" more={posts(address, "booted-no-start")}>
            It did not start at this setting
          </Button>
        </div>
      </form>
      <p class="line">
        Then {name} runs {load} for {formatDuration(toSet.durationS)} and says how it ended.
        {toSet.chanceOfPass === null ? "" : ` Passes ${chanceInWords(toSet.chanceOfPass)}.`}
      </p>
    </>
  );
};

function bootedWords({ isStock, startsByItself }: ProposalRead): string {
  if (startsByItself) return "It is set as proposed, and starts by itself.";
  return isStock ? "It has booted at its defaults." : "It has booted. Set as proposed?";
}

/** Of what shows in no reading the person alone knows. */
const unreadWords = "The machine cannot read this back.";

function readInWords({ says, isStock }: ProposalRead, { attendant }: AttendedShown): string {
  const clock = attendant?.reads?.clockMhz;
  const said =
    clock == null
      ? "The machine cannot read its clock."
      : isStock
        ? `The machine reads ${Math.round(clock)} MHz, the stock clock.`
        : says === "differs"
          ? `The machine reads ${Math.round(clock)} MHz at rest, not the clock proposed.`
          : "The machine reads the clock as proposed.";
  const cannot = attendant?.cannotRead?.includes("voltage") ? " It cannot read the voltage." : "";
  return `${said}${cannot}`;
}

/** Between two runs of an evening the machine is set in firmware and started; it asks once it is back. */
export const ToBeSet = ({ attended }: Pick<Props, "attended">) => {
  const name = attended.attendant?.name ?? "";
  return (
    <LineWithMore line={<>Set it in firmware and start {name}; it asks here once it is back.</>} more="More">
      <p>Arm it below only where it is set already.</p>
    </LineWithMore>
  );
};
