import { isTaken, type Transport } from "./transport.ts";

export type BuildNamed = Readonly<{ id: string; name: string; chipKind: "cpu" | "gpu" | "memory" }>;

/** The build of this name or id; null where the server does not say for now. Throws where there is none. */
export async function buildNamed(wanted: string, send: Transport): Promise<BuildNamed | null> {
  const answered = await send({ method: "GET", path: "/api/builds?limit=500" });
  if (!isTaken(answered)) return null;
  const builds = (answered.body?.items ?? []) as readonly { id: string; name: string; chipId: string }[];
  const found = builds.filter(({ id, name }) => id === wanted || name === wanted);
  const [build] = found;
  if (build === undefined)
    throw refusal(`There is no build "${wanted}". There are: ${builds.map(({ name }) => name).join("; ")}.`);
  if (found.length > 1)
    throw refusal(
      `Several builds are called "${wanted}"; give an id: ${found.map(({ id }) => id).join(", ")}.`,
    );
  const chip = await send({ method: "GET", path: `/api/chips/${encodeURIComponent(build.chipId)}` });
  const kind = chip.body?.kind;
  return { id: build.id, name: build.name, chipKind: kind === "gpu" || kind === "memory" ? kind : "cpu" };
}

const refusal = (words: string) => Object.assign(new Error(words), { isRefusal: true as const });
