import { renderToString } from "preact-render-to-string";
import { describe, expect, it } from "vitest";
import { ranked } from "../../server/pages/builds/ranked.ts";
import { type BuildRow, BuildRows, BuildsPiece } from "../../server/pages/builds/view.tsx";

const part = (marginC: number) => ({
  setting: { workloadId: "load", chance: 0.95, hours: 8, ranS: 900, marginC },
});

it("tells what an answer by offset leaves to spare as it does of one by clock, the least of its parts", () => {
  const byOffset = {
    ...{ axis: { name: "curve", unit: "mV", harder: "down" }, offset: null, provedTogether: true },
    offsets: { "core 1": -20, "core 2": -15 },
    parts: [part(14.2), part(11.6)],
  };
  const row = {
    build: { id: "b", name: "Shelf", change: null },
    ...{ chipName: "Tern 8", clockUnit: "MHz", boardName: "Quay", basedOnName: null },
    answer: { setting: null, byOffset, state: "done", reckoning: false, nearer: null },
    ...{ attempts: 12, lastAt: null },
  } as unknown as BuildRow;
  const html = renderToString(
    <table>
      <BuildRows shown={{ rows: [row], more: null, isFirst: true, later: null, plot: null }} />
    </table>,
  );
  expect(html).toMatch(/data-head="To spare"[^>]*>12</);
});

describe("builds of a chip that is set by offset", () => {
  const set = (id: string, harder: "up" | "down", answer: object) =>
    ({
      ...{ build: { id, name: id, chipId: "chip", change: null }, harder },
      ...{ chipName: "Tern 8", clockUnit: "MHz", boardName: "Quay", basedOnName: null },
      answer: { setting: null, byOffset: null, state: "done", reckoning: false, nearer: null, ...answer },
      ...{ attempts: 12, lastAt: null },
    }) as unknown as BuildRow;
  const whole = (offset: number, unit = "mV") => ({
    byOffset: { unit, offset, offsets: null, provedTogether: null, parts: [part(12)] },
  });
  const listed = (...levels: number[]) => ({
    byOffset: {
      ...{ unit: "mV", offset: null, provedTogether: true, parts: levels.map(() => part(12)) },
      offsets: Object.fromEntries(levels.map((level, i) => [`core ${i + 1}`, level])),
    },
  });
  const named = (rows: readonly BuildRow[]) => rows.map(({ build }) => build.id);

  it("stand by the offset each goes to, the hardest first, and by the part that goes least far", () => {
    const none = set("none", "down", {});
    expect(named(ranked([none, set("near", "down", whole(-20)), set("far", "down", whole(-60))]))).toEqual([
      "far",
      "near",
      "none",
    ]);
    expect(named(ranked([set("near", "up", whole(60)), set("far", "up", whole(120)), none]))).toEqual([
      "far",
      "near",
      "none",
    ]);
    const rows = [set("uneven", "down", listed(-40, -10)), set("even", "down", listed(-25, -20)), none];
    expect(named(ranked(rows))).toEqual(["even", "uneven", "none"]);
  });

  it("are told in the heading by what is set on the furthest", () => {
    const headed = (...rows: BuildRow[]) =>
      renderToString(
        <BuildsPiece shown={{ rows: ranked(rows), more: null, isFirst: true, later: null, plot: null }} />,
      )
        .replaceAll("\u00a0", " ")
        .replace(/^.*?<h1>(.*?)<\/h1>.*$/s, "$1")
        .replace(/<[^>]+>/g, "");
    expect(headed(set("Shelf", "down", whole(-50)))).toBe("Shelf: run −50 mV");
    expect(headed(set("Shelf", "down", whole(-50)), set("Open", "down", whole(-60)))).toBe(
      "Furthest: Open, −60 mV",
    );
    expect(headed(set("Shelf", "down", listed(-25, -20)))).toBe("Shelf: run −25 to −20 mV");
    const waiting = set("Shelf", "down", { reckoning: true });
    expect(headed(set("Open", "down", whole(-60)), waiting)).toBe("Furthest so far: Open, −60 mV");
    const anew = set("Shelf", "down", { ...whole(-50), reckoning: true });
    expect(headed(set("Open", "down", whole(-60)), anew)).toBe("Furthest: Open, −60 mV");
    expect(headed(waiting)).toBe("1 build, no setting to run yet");
  });
});
