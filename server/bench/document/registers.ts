import { type Parts, partsOf } from "../things/build.ts";

/** The lists of a journal whose things are merged field by field, in an order in which each comes after what it names. */
export const mergedLists = [
  "chips",
  "boards",
  "workloads",
  "rules",
  "builds",
  "mounts",
  "versions",
  "noise",
  "attempts",
  "pictures",
] as const;
export type MergedList = (typeof mergedLists)[number];

export const isMergedList = (list: string): list is MergedList =>
  (mergedLists as readonly string[]).includes(list);

/** Fields that only make sense together are written, and stand or fall, as one; it goes by the name of the first. */
const together: Partial<Record<MergedList, readonly (readonly string[])[]>> = {
  chips: [["axis", "offset"]],
  builds: [["basedOn", "change"]],
  workloads: [["scoreUnit", "scoreBetter"]],
  noise: [["levelsDba", "backgroundDba", "distanceM"]],
  pictures: [["buildId", "mountId", "attemptId"]],
  attempts: [
    ["outcome", "durationS", "plannedS", "failedFromS", "failedToS", "toldBy"],
    ["clockMhz", "voltageMv", "offset", "offsets", "part", "crashPart", "knobs", "aboveCeiling"],
    ["loadTempC", "peakTempC"],
    ["correctedErrors", "correctedErrorsAt"],
  ],
};

const firstOf = new Map(
  Object.entries(together).map(([list, groups]) => [
    list,
    new Map(groups.flatMap((group) => group.map((field) => [field, group[0] as string]))),
  ]),
);

/** What a field is written with. */
export const registerOf = (list: MergedList, field: string): string => firstOf.get(list)?.get(field) ?? field;

/**
 * What may be private: it goes when a deleted thing is blanked for good. The names of offsets, knobs, places and parts, how they
 * stood and what a score is counted in stay: what others still hold may be told by them. The Journal page says so.
 */
const words: Readonly<Record<MergedList, Readonly<Record<string, unknown>>>> = {
  chips: { name: "Blanked", note: "", model: null, voltageName: null, modules: null },
  boards: { name: "Blanked", note: "", formFactor: null },
  workloads: { name: "Blanked", note: "" },
  rules: { name: "Blanked" },
  builds: {
    ...{ name: "Blanked", note: "", change: null, cooler: "", case: "", fans: "", orientation: "" },
    ...{ memory: "", powerSupply: "", firmware: "" },
  },
  mounts: { paste: null, note: "" },
  versions: { name: "Blanked", note: "" },
  noise: { note: "" },
  attempts: {
    note: "",
    tags: [],
    alsoSet: [],
    errors: [],
    fanMode: null,
    loadLine: null,
    setAside: null,
    bootId: null,
  },
  pictures: { caption: "" },
};

/** The parts of a build that was blanked, as its attempts tell of them. */
export const blankParts: Parts = partsOf(words.builds as Parts);

export const blanked = <Fields extends object>(list: MergedList, fields: Fields): Fields => ({
  ...fields,
  ...words[list],
});
