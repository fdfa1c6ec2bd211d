import type { ChangesOfChip } from "../../answers/changesOfChip.ts";
import type { BuildDrift } from "../../answers/driftOfChip.ts";
import {
  type Effect,
  effectsByMeasure,
  effectsThatStand,
  effectWords,
} from "../../bench/comparison/changeEffects.ts";
import type { BuildChange } from "../../bench/comparison/changes.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { Act, ButtonLink } from "../../html/act.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry, Fold } from "../../html/entry.tsx";
import { formatCount } from "../../html/format.ts";
import { Missing } from "../../html/note.tsx";
import { Another } from "../kit/another.tsx";
import { AnswerLine } from "../kit/answerTold.tsx";
import type { LoadNames } from "../kit/attemptTable.tsx";
import { ClockUnit } from "../kit/clockUnit.ts";
import { type BuildNames, differenceWords, EffectSections, rangeWords } from "../kit/effectSections.tsx";
import { paths } from "../paths.ts";
import { DriftSection, driftPlot } from "./drift.tsx";

export type ChangesShown = Readonly<{
  answer: ChangesOfChip;
  drifts: readonly BuildDrift[];
  chips: readonly Chip[];
  loads: LoadNames;
}>;

export const NoChipPage = ({ frame }: { frame: Frame }) => (
  <Document title="Changes" frame={frame}>
    <Entry>
      <Answer heading="No chip on the bench yet">
        Write down a build, then another that differs from it by one stated change.
      </Answer>
      <Act>
        <ButtonLink href={paths.bench()} first>
          To the bench
        </ButtonLink>
      </Act>
    </Entry>
  </Document>
);

/** One change at a time: what each did to every measure, and whether the bench itself moved meanwhile. */
export const ChangesPage = ({ frame, shown }: { frame: Frame; shown: ChangesShown }) => {
  const { answer, drifts, loads } = shown;
  const { changes, builds } = answer;
  const effects = changes.flatMap((change) => change.effects);
  const names = new Map(builds.map(({ id, name }) => [id, name]));
  const plot = driftPlot(drifts[0]?.telling ?? null);
  const only = changes.length === 1 ? (changes[0] ?? null) : null;
  return (
    <Document
      title={`Changes on ${answer.chip.name}`}
      frame={frame}
      {...(plot ? { charts: { drift: plot } } : {})}
    >
      <Entry aside={<About shown={shown} />}>
        <Answer heading={headline(effects, changes.length)}>
          {only === null ? null : <Named change={only} names={names} />}
          {leadOf(effects, changes.length)}
        </Answer>
        {changes.length === 0 ? <NoChange shown={shown} /> : null}
        <Untold shown={shown} />
        <ToRun answer={answer} />
      </Entry>
      <EffectSections
        effects={effects}
        head="Change"
        names={names}
        caption="After the change less before it"
        nothing="no effect"
        standing={new Set(effectsThatStand(effects))}
        isNamed={only !== null}
      />
      <DriftSection drifts={drifts} loads={loads} chip={answer.chip} />
      <OtherChip shown={shown} />
    </Document>
  );
};

/** One change is named once, above all it did. */
const Named = ({ change: { from, to, change }, names }: { change: BuildChange; names: BuildNames }) => (
  <>
    <span>
      <a href={paths.compare({ a: from, b: to })}>{change.replace(/\.$/, "") || "A change not named"}</a>
    </span>{" "}
    ({names.get(from)} to {names.get(to)}):{" "}
  </>
);

const ToRun = ({ answer: { answers, builds, chip } }: Pick<ChangesShown, "answer">) =>
  answers.length === 0 ? null : (
    <Fold
      title={`What to run on ${answers.length === builds.length ? "each build" : "the builds that a change touches"}`}
    >
      <ul class="rows">
        {answers.map(({ build, answer }) => (
          <li key={build.id}>
            <ClockUnit.Provider value={chip.clockUnit}>
              <AnswerLine buildId={build.id} name={build.name} answer={answer} />
            </ClockUnit.Provider>
          </li>
        ))}
      </ul>
    </Fold>
  );

const About = ({ shown: { answer } }: { shown: ChangesShown }) => (
  <>
    <b>{answer.chip.name}</b>
    <p>{formatCount(answer.builds.length, "build")}</p>
  </>
);

/** The largest effect that is real on the measure a tester looks for first. */
const tellingOf = (effects: readonly Effect[]): Effect | undefined =>
  effectsByMeasure(effectsThatStand(effects))
    .flatMap((of) => of.effects)
    .find(({ smallerThan }) => smallerThan === null);

function headline(effects: readonly Effect[], changes: number): string {
  if (changes === 0) return "No change is stated yet";
  const told = tellingOf(effects);
  if (told === undefined)
    return `${changes === 1 ? "One change" : `${changes} changes`}: ${effectsThatStand(effects).length === 0 ? "nothing differs yet" : "what differs is too small to care"}`;
  return `“${told.change}” did most: ${differenceWords(told)} ${effectWords(told.measure)}`;
}

function leadOf(effects: readonly Effect[], changes: number): string {
  if (changes === 0)
    return "A build may be based on another and differ from it by one stated change; then what that change did is told here.";
  const told = tellingOf(effects);
  const decided = effectsThatStand(effects).length;
  const range = told === undefined ? "" : `${rangeWords(told)} ${told.unit}, ${told.setting}. `;
  const all = `${decided === 0 ? "none" : decided} of ${formatCount(effects.length, "effect")} ${decided > 1 ? "differ" : "differs"}, all judged together`;
  return changes === 1 ? `${all}. ${range}` : `${range}${formatCount(changes, "stated change")}; ${all}.`;
}

const NoChange = ({ shown: { answer } }: { shown: ChangesShown }) => {
  const [first] = answer.builds;
  return (
    <Act>
      <ButtonLink href={first ? paths.newBuild({ basedOn: first.id }) : paths.newBuild()} first>
        Write down a changed build
      </ButtonLink>
    </Act>
  );
};

/** A change of which nothing is known yet: what to run so that something is. */
const Untold = ({ shown: { answer } }: { shown: ChangesShown }) => {
  const names = new Map(answer.builds.map(({ id, name }) => [id, name]));
  const untold = answer.changes.filter(({ effects }) => effects.length === 0);
  if (untold.length === 0) return null;
  return (
    <Missing>
      {untold.map(({ from, to, change }) => (
        <p key={to}>
          “{change || "a change not named"}”: run {names.get(to)} at a setting that {names.get(from)} ran too.{" "}
          <a href={paths.bench({ build: to })}>To the bench with it</a>
        </p>
      ))}
    </Missing>
  );
};

const OtherChip = ({ shown: { chips, answer } }: { shown: ChangesShown }) => (
  <Another
    title="Another chip"
    action={paths.changes()}
    name="chip"
    label="Chip"
    value={answer.chip.id}
    choices={chips.map(({ id, name }) => ({ value: id, title: name }))}
  />
);
