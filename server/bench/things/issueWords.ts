import type { z } from "zod";

const kinds: Readonly<Record<string, string>> = {
  number: "a number",
  int: "a whole number",
  string: "text",
  boolean: "true or false",
  object: "an object with named fields",
  array: "a list",
};

/** A sentence for a person where a schema has none of its own. */
export function issueWords(issue: z.core.$ZodRawIssue): string {
  switch (issue.code) {
    case "invalid_type":
      if (issue.input === undefined) return "This is needed.";
      return `This must be ${kinds[issue.expected] ?? `a ${issue.expected}`}.`;
    case "invalid_value":
      return `This must be one of: ${issue.values.map(String).join(", ")}.`;
    case "too_small":
      return `This must be at least ${issue.minimum}.`;
    case "too_big":
      return `This must be at most ${issue.maximum}.`;
    default:
      return "This could not be read.";
  }
}
