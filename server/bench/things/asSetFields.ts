import * as z from "zod";
import {
  errorCounts,
  errorsFound,
  knobValues,
  offset,
  offsets,
  readBacks,
  starts,
  tellers,
  temperatures,
  trainings,
} from "./asSet.ts";
import { choice, type FieldDescription, temperature, words } from "./fieldKinds.ts";
import { count, text } from "./units.ts";

type Fields = Readonly<Record<string, FieldDescription>>;

/** What was set besides a clock at a voltage, and whether it was still so. */
export const asSetFields = {
  offset: {
    kind: "offset",
    sent: offset.nullish(),
    blank: null,
    title: "Offset",
    group: "asSet",
    heads: /^offset/i,
  },
  offsets: {
    kind: "byPart",
    sent: offsets.nullish(),
    blank: null,
    title: "Offsets by part",
    hint: "One a line: core 3 = -20",
    group: "asSet",
    heads: /offsets|offset.*by (part|core)/i,
  },
  part: {
    ...words,
    sent: text(40).nullish(),
    title: "Part under test",
    group: "asSet",
    heads: /^part$|part under|^core$/i,
  },
  crashPart: {
    ...words,
    sent: text(40).nullish(),
    title: "Part that crashed",
    hint: "Only where the kernel or the firmware named it.",
    group: "asSet",
    heads: /crash.*(part|core)/i,
  },
  knobs: {
    kind: "knobs",
    sent: knobValues.nullish(),
    blank: null,
    title: "Knobs",
    hint: "One a line: power-limit = 105",
    group: "asSet",
    heads: /^knobs?$/i,
  },
  settingReadBack: {
    ...choice(readBacks, {
      confirmed: "as it was set",
      "cannot-tell": "cannot be told",
      differs: "otherwise than set",
    }),
    title: "The setting read back",
    group: "conduct",
    heads: /read ?back/i,
  },
  freshBoot: {
    kind: "yesNo",
    sent: z.boolean({ error: "freshBoot is true or false." }).nullish(),
    blank: null,
    title: "Freshly booted",
    group: "conduct",
    heads: /fresh ?boot/i,
  },
} as const satisfies Fields;

/** What tells of a memory's trainings, starts and tests. */
export const memoryFields = {
  training: {
    ...choice(trainings, { full: "in full", stored: "from what was stored", unknown: "not known" }),
    title: "The memory trained",
    group: "memory",
    heads: /^training/i,
  },
  starts: {
    kind: "starts",
    sent: starts.nullish(),
    blank: null,
    title: "Starts",
    hint: "Like 9 of 10: how many came up, of how many tried.",
    group: "memory",
    heads: /^starts|boots/i,
  },
  cycles: {
    kind: "number",
    sent: count("The number of cycles").nullish(),
    blank: null,
    title: "Cycles of the test",
    group: "memory",
    heads: /cycles|loops/i,
  },
  coveragePct: {
    kind: "number",
    sent: z
      .number({ error: "The coverage must be a number in percent." })
      .min(0, "The coverage must be at least 0 %.")
      .max(1_000_000, "The coverage must be at most 1000000 %.")
      .nullish(),
    blank: null,
    title: "Coverage, %",
    group: "memory",
    heads: /coverage/i,
  },
  errors: {
    kind: "errors",
    sent: errorsFound.nullish(),
    blank: [],
    title: "Errors found",
    hint: "One a line: 12 min, module A2, bit 17",
    group: "memory",
    heads: /errors found/i,
  },
} as const satisfies Fields;

/** What was read by place, and by whom it was told. */
export const machineFields = {
  temps: {
    kind: "temperatures",
    sent: temperatures.nullish(),
    blank: null,
    title: "Temperatures by place",
    hint: "One a line: hotspot = 84",
    group: "heat",
    heads: /^temps|temperatures/i,
  },
  lowestTempC: {
    ...temperature,
    title: "Coldest",
    group: "heat",
    heads: /(lowest|coldest|minimum).*(temp|°)/i,
  },
  correctedErrorsAt: {
    kind: "counts",
    sent: errorCounts.nullish(),
    blank: null,
    title: "Corrected errors by place",
    hint: "One a line: cache = 3",
    group: "conduct",
    heads: /errors.*(at|by place|where)/i,
  },
  toldBy: {
    ...choice(tellers, { tester: "the tester", attendant: "the machine itself" }),
    title: "Told by",
    heads: /told ?by/i,
  },
  loadProved: {
    kind: "yesNo",
    sent: z.boolean({ error: "loadProved is true or false." }).nullish(),
    blank: null,
    title: "The load was proved",
    heads: /load.*proved/i,
  },
  bootId: { ...words, sent: text(80).nullish(), title: "Boot", heads: /boot ?id/i },
} as const satisfies Fields;
