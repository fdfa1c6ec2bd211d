import { renderToString } from "preact-render-to-string";
import { expect, it } from "vitest";
import { type BuildRow, BuildRows } from "../../server/pages/builds/view.tsx";

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
