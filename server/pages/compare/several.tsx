import type { BuildAnswer } from "../../answers/answerOf.ts";
import {
  type Effect,
  effectsOf,
  effectsThatStand,
  effectWords,
} from "../../bench/comparison/changeEffects.ts";
import type { Comparison } from "../../bench/comparison/comparison.ts";
import type { Build } from "../../bench/things/build.ts";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry, Fold } from "../../html/entry.tsx";
import type { Choice } from "../../html/field.tsx";
import { formatCount } from "../../html/format.ts";
import { Note } from "../../html/note.tsx";
import { AnswerLine } from "../kit/answerTold.tsx";
import type { LoadNames } from "../kit/attemptTable.tsx";
import { ClockUnit } from "../kit/clockUnit.ts";
import { EffectSections } from "../kit/effectSections.tsx";
import { paths } from "../paths.ts";
import { SeveralForm } from "./choose.tsx";
import { GivenFold, type GivenTyped } from "./given.tsx";

export type SeveralShown = Readonly<{
  a: Build;
  answer: BuildAnswer;
  others: readonly Readonly<{ build: Build; compared: Comparison; answer: BuildAnswer }>[];
  loads: LoadNames;
  given: GivenTyped;
  choices: readonly Choice[];
}>;

const effectsIn = ({ a, others, loads }: SeveralShown): readonly Effect[] =>
  others.flatMap(({ build, compared }) =>
    effectsOf({ from: a.id, to: build.id, change: build.name }, compared, (id) => loads.get(id) ?? "a load"),
  );

/** Several builds, each against a chosen one: a sentence for each, then measure by measure. */
export const SeveralPage = ({ frame, shown }: { frame: Frame; shown: SeveralShown }) => {
  const { a, others, given } = shown;
  const effects = effectsIn(shown);
  const clockUnit = others[0]?.compared.clockUnit ?? "MHz";
  const standing = effectsThatStand(effects);
  const real = new Set(standing.map(({ to }) => to)).size;
  const isTwoChips = others.some(({ build }) => build.chipId !== a.chipId);
  return (
    <Document title={`Against ${a.name}`} frame={frame}>
      <Entry
        aside={
          <>
            <b>
              <a href={paths.build(a.id)}>{a.name}</a>
            </b>
            <p>and {formatCount(others.length, "other")}</p>
          </>
        }
      >
        <Answer heading={`${formatCount(others.length, "build")} against ${a.name}: ${realWords(real)}`}>
          Each difference is that build less {a.name}, where both documented it best; whether it differs, of
          all judged together.
        </Answer>
        {isTwoChips ? (
          <Note>
            Not all of them carry the same sample of the chip: part of any difference is the chip's, not the
            board's or the cooler's.
          </Note>
        ) : null}
        <ul class="rows">
          <li>
            <ClockUnit.Provider value={clockUnit}>
              <AnswerLine buildId={a.id} answer={shown.answer} name={a.name} />
            </ClockUnit.Provider>
          </li>
          {others.map(({ build, compared, answer }) => (
            <li key={build.id}>
              <a href={paths.compare({ a: a.id, b: build.id, ...given.typed })}>
                <b>{build.name}</b>
              </a>
              : {compared.sentence} {alsoSaid(compared, standing, build.id)}
              <ClockUnit.Provider value={compared.clockUnit}>
                <AnswerLine buildId={build.id} answer={answer} />
              </ClockUnit.Provider>
            </li>
          ))}
        </ul>
        <GivenFold
          asked={given}
          clockUnit={clockUnit}
          kept={[["a", a.id], ...others.map(({ build }) => ["b", build.id] as const)]}
        />
      </Entry>
      <EffectSections
        effects={effects}
        head="Build"
        names={null}
        caption={`Each build less ${a.name}`}
        nothing="no difference"
        standing={new Set(standing)}
        isNamed={false}
      />
      <Entry id="others">
        <Fold title="Other builds">
          <SeveralForm choices={shown.choices} a={a.id} against={others.map(({ build }) => build.id)} />
        </Fold>
      </Entry>
    </Document>
  );
};

/** What the sentence of one pair claims, and all pairs judged together do not. */
function alsoSaid({ together }: Comparison, standing: readonly Effect[], to: string): string {
  const not = together
    .filter(({ verdict }) => verdict === "differs")
    .filter(({ measure }) => !standing.some((effect) => effect.to === to && effect.measure === measure))
    .map(({ measure }) => effectWords(measure));
  return not.length === 0 ? "" : `Among all of these, no difference is claimed in ${not.join(" and ")}. `;
}

const realWords = (real: number): string =>
  real === 0
    ? "none differs beyond scatter yet"
    : `${real === 1 ? "one differs" : `${real} differ`} beyond scatter`;
