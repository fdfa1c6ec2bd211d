import type { FastifyRequest } from "fastify";
import { missing } from "../../bench/things/refusal.ts";
import { isId } from "../../bench/things/units.ts";

/** One value behind the "?" of the address; blank is none, and the last of several counts. */
export function valueAsked(request: FastifyRequest, name: string): string | null {
  const value = (request.query as Record<string, unknown>)[name];
  const last = Array.isArray(value) ? value.at(-1) : value;
  return typeof last === "string" && last.trim() !== "" ? last.trim() : null;
}

/** An id behind the "?"; one that cannot be an id names nothing. */
export function idAsked(request: FastifyRequest, name: string, what: string): string | null {
  const value = valueAsked(request, name);
  if (value !== null && !isId(value)) throw missing(what);
  return value;
}

/** Every id behind the "?" under one name. */
export function idsAsked(request: FastifyRequest, name: string, what: string): string[] {
  const value = (request.query as Record<string, unknown>)[name];
  const ids = [value].flat().filter((one): one is string => typeof one === "string" && one.trim() !== "");
  if (!ids.every((id) => isId(id.trim()))) throw missing(what);
  return ids.map((id) => id.trim());
}

export function numberAsked(request: FastifyRequest, name: string): number | null {
  const value = Number(valueAsked(request, name) ?? Number.NaN);
  return Number.isFinite(value) ? value : null;
}
