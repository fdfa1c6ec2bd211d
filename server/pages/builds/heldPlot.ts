import { buildAsked } from "../../answers/buildAsked.ts";
import { frontierOfAsked } from "../../answers/frontierOfBuild.ts";
import type { Plot } from "../../html/plot.ts";
import type { Journal } from "../../store/file/journal.ts";
import { looks, looksApart, someLook } from "../kit/buildLooks.ts";
import { heldMarks, stepsLayers } from "../kit/frontierSteps.ts";
import type { BuildRow } from "./view.tsx";

/** What the furthest builds of one chip hold over voltage; null where fewer than two hold anything. */
export function heldPlot(journal: Journal, rows: readonly BuildRow[]): Plot | null {
  const chipId = rows[0]?.build.chipId;
  const held = rows
    .filter(({ build, answer }) => build.chipId === chipId && answer !== null)
    .slice(0, looks.length)
    .map(({ build }) => ({
      id: build.id,
      name: build.name,
      points: frontierOfAsked(journal, buildAsked(journal, { buildId: build.id })).points,
    }))
    .filter(({ points }) => points.some(({ heldMhz }) => heldMhz !== null));
  if (held.length < 2) return null;
  const drawn = looksApart(
    journal.builds.all(),
    held.map(({ id }) => id),
  );
  return {
    title: "Clock held over voltage on each build",
    x: { label: "voltage set", unit: "V" },
    y: { label: "clock held", unit: rows[0]?.clockUnit ?? "MHz" },
    layers: held.flatMap(({ id, name, points }, i) => {
      const look = drawn[i] ?? someLook;
      return [
        ...stepsLayers(points, look.tone, name),
        heldMarks(points, look, { id, name, clockUnit: rows[0]?.clockUnit }),
      ];
    }),
  };
}
