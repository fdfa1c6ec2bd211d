import type { Advice, AdviceQuestion } from "../../answers/advice.ts";
import { chanceInWords } from "../../bench/next/nextWords.ts";
import type { KnobNext, SearchedKnob } from "../../bench/scale/knobSearch.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { asSetWords } from "../../bench/things/setting.ts";
import { withinSentence } from "../../bench/things/words.ts";
import { EntryHeading, LineWithMore } from "../../html/entry.tsx";
import { formatDuration } from "../../html/format.ts";
import { paths } from "../paths.ts";
import {
  type DialledLevel,
  dialledLevel,
  knobLevelWords,
  LevelOnDials,
  LevelTime,
  levelProposed,
} from "./dialledLevel.tsx";
import { Late } from "./late.tsx";
import { benchAddress } from "./otherwise.tsx";
import type { Trying } from "./shown.ts";
import { setFirst } from "./toSet.ts";

type Props = Readonly<{ trying: Trying; knob: SearchedKnob; chip: Chip; first: boolean }>;

/** The value of a knob to try next, all else as it was last, and what holds of it so far. */
export const KnobProposed = ({ trying, knob, chip, first }: Props) => {
  const { byKnob } = trying.advice;
  const dialled = dialledLevel(trying.form.typed, chip, knob.id, levelProposed(trying.advice));
  return (
    <>
      <EntryHeading first={first}>
        {dialled === null
          ? `How far ${withinSentence(knob.name)} goes`
          : headingOf(knob, byKnob?.next ?? null, dialled)}
      </EntryHeading>
      <p class="lead">
        Looking how far {withinSentence(knob.name)} goes{elseWords(byKnob?.next ?? null, chip)}.{" "}
        <a href={benchAddress(trying, { aim: null, knob: null, skip: null })}>
          {chip.axis === "offset" ? (chip.offset?.name ?? "The offset") : "The highest clock"} instead
        </a>
      </p>
      {byKnob === null ? null : <KnobSaid knob={knob} chip={chip} next={byKnob.next} dialled={dialled} />}
      <Late trying={trying} />
    </>
  );
};

function headingOf(knob: SearchedKnob, next: KnobNext | null, dialled: DialledLevel) {
  if (next !== null && "durationS" in next)
    return (
      <>
        Next: <LevelOnDials dialled={dialled} />
      </>
    );
  return next !== null && "settled" in next
    ? `${knobLevelWords(knob, next.settled.level)} is known near enough`
    : `How far ${withinSentence(knob.name)} goes`;
}

const elseWords = (next: KnobNext | null, chip: Chip): string =>
  next?.allElse
    ? `, all else as it was last: ${asSetWords(next.allElse, chip)}`
    : ", all else as it was last";

type SaidProps = Readonly<{ knob: SearchedKnob; chip: Chip; next: KnobNext; dialled: DialledLevel | null }>;

const KnobSaid = ({ knob, chip, next, dialled }: SaidProps) => (
  <>
    {"durationS" in next && dialled !== null ? (
      <LineWithMore line={<LevelTime dialled={dialled} />} more="Why" keep="why">
        <p>
          {setFirst(chip)} {next.because}
        </p>
        {next.blocked.map((caution) => (
          <p key={caution}>{caution}</p>
        ))}
      </LineWithMore>
    ) : (
      <p class="lead answer">
        {next.because}
        {"state" in next ? ` ${next.needs}` : ""}
      </p>
    )}
    <SoFar knob={knob} next={next} />
  </>
);

/** What of the knob is sure enough by the build's own use. */
const SoFar = ({ knob, next }: { knob: SearchedKnob; next: KnobNext }) => {
  if ("settled" in next) return null;
  const { setting } = next.soFar;
  return setting === null ? (
    <p class="quiet">No value of it is sure enough so far.</p>
  ) : (
    <p class="answer">
      So far <b>{withinSentence(knobLevelWords(knob, setting.level))}</b>: {hoursPass(setting)}.
    </p>
  );
};

const hoursPass = ({ hours, chance }: Readonly<{ hours: number; chance: number }>): string =>
  `${chanceInWords(chance)} ${hours === 1 ? "hours pass" : `runs of ${hours} hours pass`}`;

/** The same where the page came before the fit: taken with one tap, all else left as it stands on the dials. */
export const knobPiece = ({ knob, next }: NonNullable<Advice["byKnob"]>, asked: AdviceQuestion) => {
  if (!("durationS" in next)) return <p class="late">{next.because}</p>;
  const words = knobLevelWords(knob, next.level);
  const taken = paths.bench({ build: asked.buildId, aim: "knob", knob: knob.id });
  return (
    <p class="late" data-said={`The whole record proposes ${words}.`}>
      Better: <a href={taken}>{`${words}, ${formatDuration(next.durationS)}`}</a>
    </p>
  );
};
