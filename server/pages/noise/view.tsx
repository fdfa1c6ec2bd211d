import type { BuildLoudness } from "../../bench/comparison/buildLoudness.ts";
import {
  correctionLimitsWords,
  correctionWords,
  distanceCaution,
  hearingCaution,
  hearingLevelDba,
  noiseFindings,
  underBackgroundWords,
} from "../../bench/noise/noise.ts";
import { Act, ButtonLink } from "../../html/act.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry, Fold, PhoneFold } from "../../html/entry.tsx";
import { formatCount, formatNumber } from "../../html/format.ts";
import { Note } from "../../html/note.tsx";
import { Another } from "../kit/another.tsx";
import { GoneNotice } from "../kit/goneNotice.tsx";
import { ThingHistory } from "../kit/thingHistory.tsx";
import { paths } from "../paths.ts";
import { Differences } from "./differences.tsx";
import { EqualLoudness, equalNoisePlot } from "./equalLoudness.tsx";
import { ReadingForm } from "./readingForm.tsx";
import { ReadingsTable } from "./readings.tsx";
import { conditionWords, type NoiseShown } from "./shown.ts";

/** Where there is no build yet to put a meter before. */
export const NoBuildPage = ({ frame }: { frame: Frame }) => (
  <Document title="Noise" frame={frame}>
    <Entry>
      <Answer heading="No build to listen to yet">
        Write down a build; then its readings are kept here with the background taken out.
      </Answer>
      <Act>
        <ButtonLink href={paths.newBuild()} first>
          Write down a build
        </ButtonLink>
      </Act>
    </Entry>
  </Document>
);

/** How loud, background taken out, at one distance. */
export const NoisePage = ({ frame, shown }: { frame: Frame; shown: NoiseShown }) => {
  const { answer, editing } = shown;
  const { equalNoise, build } = answer;
  const plot = equalNoise === null ? null : equalNoisePlot(build, equalNoise, shown.builds);
  return (
    <Document
      title={`Noise of ${build.name}`}
      frame={frame}
      {...(plot === null ? {} : { charts: { "equal-loudness": plot } })}
    >
      <Entry aside={<About shown={shown} />}>
        <Answer heading={headline(shown)}>{leadOf(shown)}</Answer>
        <GoneNotice gone={shown.gone} />
        <Kept shown={shown} />
        <Hearing shown={shown} />
      </Entry>
      <Entry id="form">
        <h2>{editing === null ? "A reading" : "Change this reading"}</h2>
        <ReadingForm shown={shown} />
      </Entry>
      <ThingHistory history={shown.history} />
      {answer.readings.length > 0 ? (
        <Entry aside={<p>≤ is the most it can be</p>}>
          <h2>Every reading</h2>
          <PhoneFold title={formatCount(answer.readings.length, "reading")}>
            <ReadingsTable shown={shown} />
          </PhoneFold>
          <Fold title="How they are worked out">
            <p>{correctionLimitsWords}</p>
            <p>
              Several levels are averaged as energy. At 1 m: {distanceCaution.toLowerCase().slice(0, 1)}
              {distanceCaution.slice(1)}
            </p>
          </Fold>
        </Entry>
      ) : null}
      <Differences shown={shown} />
      <EqualLoudness shown={shown} plot={plot} />
      <OtherBuild shown={shown} />
    </Document>
  );
};

const About = ({ shown: { answer } }: { shown: NoiseShown }) => (
  <>
    <b>
      <a href={paths.build(answer.build.id)}>{answer.build.name}</a>
    </b>
    <p>{formatCount(answer.readings.length, "reading")}</p>
  </>
);

const levelWords = ({ levelDba, isUpperBound }: BuildLoudness): string =>
  `${isUpperBound ? "at most " : ""}${formatNumber(levelDba, 1)} dB(A)`;

/** The loudest condition that was read with its background speaks for the build, else the loudest at all. */
const tellingOf = ({ answer }: NoiseShown): BuildLoudness | undefined =>
  answer.loudness.find((one) => !one.isUpperBound) ?? answer.loudness[0];

function headline(shown: NoiseShown): string {
  const told = tellingOf(shown);
  const { name } = shown.answer.build;
  return told === undefined
    ? `How loud is ${name}?`
    : `${name} is ${levelWords(told)} at ${formatNumber(told.distanceM)} m`;
}

function leadOf(shown: NoiseShown): string {
  const told = tellingOf(shown);
  if (told === undefined)
    return "No reading yet. Read the background with everything off, then three levels under load at the same spot.";
  const { lowDba, highDba, readings, correction } = told;
  const range =
    lowDba === null
      ? `${correctionWords[correction]}`
      : `${formatNumber(lowDba, 1)} to ${formatNumber(highDba, 1)} with the meter's own doubt, ${correctionWords[correction]}`;
  const under = conditionWords(told, shown);
  return `Under ${under}, from ${formatCount(readings, "reading")}: ${range}. ${elsewhere(shown, told)}`.trim();
}

/** Other conditions in a few words; a reading at another distance stands with its distance. */
function elsewhere(shown: NoiseShown, told: BuildLoudness): string {
  const others = shown.answer.loudness.filter((one) => one !== told).slice(0, 2);
  if (others.length === 0) return "";
  const words = others.map((one) => {
    const away = one.distanceM === told.distanceM ? "" : ` at ${formatNumber(one.distanceM)} m`;
    return `${conditionWords(one, shown)} ${levelWords(one)}${away}`;
  });
  return `Also: ${words.join("; ")}.`;
}

const Kept = ({ shown: { kept } }: { shown: NoiseShown }) => {
  if (kept === null) return null;
  const { meanDba, correctedDba, correction, isUnderBackground } = noiseFindings(kept);
  if (isUnderBackground)
    return (
      <Note>
        Kept: mean {formatNumber(meanDba, 1)} dB(A). {underBackgroundWords}
      </Note>
    );
  const isBound = correction === "upper-bound" || correction === "no-background";
  return (
    <Note kind="done">
      Kept: mean {formatNumber(meanDba, 1)} dB(A), the build alone {isBound ? "at most " : ""}
      {formatNumber(correctedDba ?? meanDba, 1)} dB(A).{" "}
      {correction === "upper-bound"
        ? "That is an upper bound: too near the background. Read nearer, or at a quieter hour."
        : `${correctionWords[correction].slice(0, 1).toUpperCase()}${correctionWords[correction].slice(1)}.`}
    </Note>
  );
};

/** Said once, where a level read here warrants it. */
const Hearing = ({ shown: { answer } }: { shown: NoiseShown }) =>
  answer.readings.some((reading) => Math.max(...reading.levelsDba) >= hearingLevelDba) ? (
    <Note>{hearingCaution}</Note>
  ) : null;

const OtherBuild = ({ shown: { builds, answer } }: { shown: NoiseShown }) => (
  <Another
    title="Another build"
    action={paths.noise()}
    name="build"
    label="Build"
    value={answer.build.id}
    choices={builds.map(({ id, name }) => ({ value: id, title: name }))}
  />
);
