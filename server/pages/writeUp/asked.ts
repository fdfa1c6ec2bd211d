import type { FastifyRequest } from "fastify";
import { mostBuildsTold } from "../../answers/accountOf.ts";
import { invalid, missing } from "../../bench/things/refusal.ts";
import { isId } from "../../bench/things/units.ts";
import { type StatedUse, statedUses } from "../../bench/writeUp/statedUse.ts";
import { paths } from "../paths.ts";

/** Which builds an account tells of, the first as the one compared with, and for what use. */
export type AccountTyped = Readonly<{ buildIds: readonly string[]; use: StatedUse }>;

type Values = Readonly<Record<string, unknown>>;

/** Ids with commas between, or one by one as a form without script sends them. */
const listed = (value: unknown): string[] =>
  [value]
    .flat()
    .flatMap((part) => (typeof part === "string" ? part.split(",") : []))
    .map((part) => part.trim())
    .filter((part) => part !== "");

export function accountAsked(values: Values): AccountTyped {
  const first = listed(values.against);
  const buildIds = [...new Set([...first, ...listed(values.builds)])];
  if (!buildIds.every(isId)) throw missing("build");
  const [use] = listed(values.use);
  const known = statedUses.find((one) => one === use);
  if (use !== undefined && known === undefined)
    throw invalid(`The use is one of: ${statedUses.join(", ")}.`, { use: "Choose one of these." });
  return { buildIds, use: known ?? "aim" };
}

export const queryIn = (request: FastifyRequest): Values => request.query as Values;

/** The one address of an account, whichever way it was asked for. */
export const accountAddress = ({ buildIds, use }: AccountTyped): string =>
  paths.writeUp({ builds: buildIds.join(","), use });

export const assertFew = ({ buildIds }: AccountTyped): void => {
  if (buildIds.length > mostBuildsTold)
    throw invalid(`An account tells of at most ${mostBuildsTold} builds; ${buildIds.length} are chosen.`, {
      builds: `Choose at most ${mostBuildsTold}.`,
    });
};
