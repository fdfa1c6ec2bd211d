import * as z from "zod";
import { instant } from "../things/units.ts";
import { stampOf } from "./stamp.ts";

const writer = /^[a-z0-9]{0,16}$/;
/** Later than any time that may be written, with room for what is written after it. */
const end = stampOf(Date.UTC(2300, 0), 0, "");
const time = z
  .string()
  .regex(/^[0-9a-z]{14}$/, "This is no time of a stamp.")
  .refine((value) => value < end, "This time lies too far ahead.");

export const stampInDocument = z
  .string()
  .regex(/^[0-9a-z]{14,30}$/, "This is no stamp.")
  .refine((value) => value < end, "This time lies too far ahead.");

const seen = z.record(z.string().regex(writer, "This names no writer."), time);

/** When what of a thing was written, as it stands in an exported journal. */
export const stampsInDocument = z.strictObject({
  base: instant,
  fields: z.record(z.string().regex(/^[A-Za-z]{1,40}$/, "This names no field."), stampInDocument),
  seen,
  deletion: z.strictObject({ stamp: stampInDocument, at: instant, seen, raised: z.boolean() }).nullable(),
  blanked: z.boolean(),
});

/** One edit in a history. Those of the first exports had no stamp. */
export const editInDocument = z.strictObject({
  at: instant,
  changes: z.record(z.string(), z.tuple([z.unknown(), z.unknown()])),
  stamp: stampInDocument.nullish(),
  seen: seen.nullish(),
});
