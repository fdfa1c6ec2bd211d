import { answerInWords, settingInWords } from "../best/answerWords.ts";
import { onePerMeasure } from "../comparison/intervalRows.ts";
import { hearingCaution } from "../noise/noise.ts";
import { measureTraits } from "../runs/comparedRun.ts";
import { partNames, partWords } from "../things/build.ts";
import type { Requirement } from "../things/rule.ts";
import { clockWords, volts } from "../things/words.ts";
import { type Account, type AccountedBuild, workloadName } from "./account.ts";
import { type Block, heading, list, paragraph, table, wordsColumn } from "./block.ts";
import { conditionsWords } from "./conditions.ts";
import { counted, inWords, unknownFigure } from "./figures.ts";
import { heat } from "./heat.ts";
import { recommendationWords } from "./recommendation.ts";
import { differences, frontiers, reachOfBuild } from "./results.ts";

/** The whole account, from what was compared to the cautions. Words may be the writer's own; figures never are. */
export const writeUpOf = (account: Account): Block[] => [
  heading(1, account.own.title?.words.trim() || account.title),
  ...paragraph(account.own, "answer", answerWords(account), "answer"),
  ...(account.notice === null ? [] : paragraph({}, "notice", account.notice, "caution")),
  ...whatWasCompared(account),
  ...method(account),
  ...section("Conditions", [
    ...paragraph(account.own, "conditions", conditionsWords(account)),
    ...paragraph({}, "source", sourceWords(account)),
  ]),
  ...section("How far each build goes", account.builds.flatMap(reachOfBuild)),
  ...section("What sets them apart", [
    ...(account.builds.length > 1 ? frontiers(account) : []),
    ...account.comparisons.flatMap((one, number) => differences(account, one, number)),
  ]),
  ...section("Heat", heat(account)),
  ...section("Contested claims", contested(account)),
  ...section("Verdict", paragraph(account.own, "verdict", verdictParagraph(account))),
  ...section("What to run", recommended(account)),
  ...section(
    "Pictures",
    account.pictures.map((picture) => ({ as: "picture" as const, ...picture })),
  ),
  ...section("Caveats", caveats(account)),
  ...section("Cautions", paragraph(account.own, "cautions", cautionWords, "caution")),
];

/** A moment is told in one zone, so that it says the same wherever it is read. */
const sourceWords = ({ asOf }: Account): string =>
  `Every figure is from the journal as it stood on ${asOf.slice(0, 10)} at ${asOf.slice(11, 16)} UTC.`;

const section = (title: string, blocks: readonly Block[]): Block[] =>
  blocks.length === 0 ? [] : [heading(2, title), ...blocks];

const answerWords = (account: Account): string =>
  account.comparisons.length > 0
    ? account.comparisons.map((one) => `${pairOf(account, one)}${one.comparison.sentence}`).join(" ")
    : account.answers
        .map(
          ({ buildName, answer }, i) => `${buildName}: ${answerInWords(answer, unitOf(account.builds[i]))}`,
        )
        .join(" ");

const unitOf = (build: AccountedBuild | undefined) => build?.chip.clockUnit ?? "MHz";

/** With more than one comparison each says first what it is of. */
const pairOf = ({ comparisons }: Account, { aName, bName }: Account["comparisons"][number]): string =>
  comparisons.length < 2 ? "" : `Of ${aName} and ${bName}: `;

function whatWasCompared(account: Account): Block[] {
  const { builds } = account;
  const row = (words: string, of: (build: (typeof builds)[number]) => string): string[] => [
    words,
    ...builds.map((build) => of(build) || unknownFigure),
  ];
  const rows = [
    row("Chip", ({ chip }) => chip.name),
    row("Board", ({ board }) =>
      board.formFactor === null ? board.name : `${board.name} (${board.formFactor})`,
    ),
    ...partNames.map((part) => row(partWords[part], ({ build }) => build[part])),
    row("Change", ({ build }) => build.change ?? ""),
  ].filter((cells) => cells.slice(1).some((cell) => cell !== unknownFigure));
  const columns = [wordsColumn("Part"), ...builds.map(({ build }) => wordsColumn(build.name))];
  const intro = paragraph(account.own, "compared", comparedWords(account));
  return section("What was compared", [
    ...intro,
    ...table("builds", "The builds, part by part.", columns, rows),
  ]);
}

function comparedWords({ builds }: Account): string {
  const chips = new Set(builds.map(({ chip }) => chip.id));
  const names = inWords(builds.map(({ build }) => build.name));
  if (builds.length < 2) return `One build: ${names}.`;
  return chips.size === 1
    ? `${names}, with the same chip in each.`
    : `${names}, with ${chips.size} samples of the chip: part of any difference is the chip's own.`;
}

function method(account: Account): Block[] {
  const needs = account.rule.requires.map((wanted) => requirementWords(account, wanted));
  const words = [
    `A setting counts as held by the rule “${account.rule.name}”: ${inWords(needs)}, and no crash recorded there or at any easier setting.`,
    "Temperatures are compared as their rise over the room, at the same setting and load, averaged by mount.",
    "Each difference has a 95 % interval from every known source of doubt, combined as the Guide to the Expression of Uncertainty in Measurement has it; “differs” is said where that leaves zero out with the clock, the heat and the loudness that sum it up judged together; of any other row where it does, that it differs by itself.",
    "Clocks are judged by fitted limits only; what passed and what crashed is shown as observed.",
  ].join(" ");
  return section("Method", paragraph(account.own, "method", words));
}

function requirementWords(account: Account, wanted: Requirement): string {
  const load = wanted.workloadId === null ? "any load" : workloadName(account, wanted.workloadId);
  const clean = wanted.correctedErrors === 0 ? " without corrected errors" : "";
  const cold = wanted.coldStarts === null ? "" : `, from cold ${counted(wanted.coldStarts, "time")}`;
  const cycles = wanted.cycles == null ? "" : ` and ${counted(wanted.cycles, "cycle")}`;
  const trained = wanted.trainings == null ? "" : `, over ${counted(wanted.trainings, "full training")}`;
  return `${load} passed for ${Number((wanted.durationS / 60).toFixed(1))} min${cycles}${clean}${cold}${trained}`;
}

function contested(account: Account): Block[] {
  const items = account.builds.flatMap(({ build, chip, points }) =>
    points
      .filter((point) => point.contested.length > 0)
      .map((point) => {
        const passes = counted(point.contested.length, "pass", "passes");
        const fallback =
          point.heldMhz === null
            ? "nothing held there"
            : `${clockWords(point.heldMhz, chip.clockUnit)} held there`;
        return `${build.name} at ${volts(point.voltageMv)}: ${passes} contested by a crash at that or an easier setting; ${fallback}.`;
      }),
  );
  return list(items);
}

const verdictParagraph = (account: Account): string =>
  account.comparisons
    .map((one) => {
      const { caution, sentence, detail } = one.comparison;
      return `${pairOf(account, one)}${[caution, sentence, detail].filter(Boolean).join(" ")}`;
    })
    .join("\n\n");

function recommended(account: Account): Block[] {
  const items = account.recommendations.map(({ buildName, use, setting, because, set = null }) => {
    if (setting === null && set === null)
      return `${buildName}, ${use}: no setting can be recommended yet. ${because.join(" ")}`.trim();
    const unit = unitOf(account.builds.find(({ build }) => build.name === buildName));
    const told = setting === null ? (set ?? "") : settingInWords(setting, unit);
    const says = because[0]?.includes(told) ? because : [`${told}.`, ...because];
    return `${buildName}, ${use}: ${says.join(" ")}`;
  });
  const which = paragraph(account.own, `recommendation-${account.use}`, recommendationWords(account));
  return [...which, ...list(items)];
}

const single = "One sample of a chip speaks for itself: another of the same name may go further or less far.";
const leftOut =
  "Runs without a reading or a room temperature, throttled ones and those ended by a fault are left out where the others would not be like them.";

/** What limits the claims above, said once however often the record says it. */
function caveats(account: Account): Block[] {
  const warned = account.builds.flatMap(({ build, warnings }) =>
    warnings.map((words) => `${build.name}: ${words}`),
  );
  const undecided = account.comparisons.flatMap(({ aName, bName, comparison }) => {
    const heat = comparison.sameSetting.filter(({ measure }) => measure === "loadRise");
    const open = heat.find(({ wouldDecide }) => wouldDecide !== null);
    return open?.wouldDecide ? [`${bName} less ${aName}: ${open.wouldDecide}`] : [];
  });
  return [
    ...paragraph(account.own, "caveats", ""),
    ...list([...new Set([single, ...warned, ...undecided, ...notesTold(account)])]),
  ];
}

/** Each note once, with the measures it is given for. */
function notesTold({ comparisons }: Account): string[] {
  const measuresOf = new Map<string, Set<string>>();
  for (const { comparison } of comparisons) {
    const measured = [...onePerMeasure([...comparison.sameSetting, ...comparison.score])].map((row) => ({
      of: measureTraits[row.measure].short,
      notes: row.notes.map((note) => (note.includes("left out: ") ? leftOut : note)),
    }));
    const heard = comparison.noise.map(({ notes }) => ({ of: "Loudness", notes }));
    for (const { of, notes } of [...measured, ...heard])
      for (const note of notes) measuresOf.set(note, (measuresOf.get(note) ?? new Set()).add(of));
  }
  return [...measuresOf].map(([note, of]) => (note === leftOut ? note : `${inWords([...of])}: ${note}`));
}

const cautionWords = [
  "Raised voltage and heat shorten the life of a chip and may void its warranty; whoever repeats this does so at their own risk.",
  "Back up what matters before unstable runs: a crash can lose or corrupt what is being written.",
  "Never open a power supply; mains work belongs to qualified people under the local rules.",
  hearingCaution,
].join(" ");
