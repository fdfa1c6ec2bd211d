import { renderToString } from "preact-render-to-string";
import { describe, expect, it } from "vitest";
import type { Attempt } from "../../../server/bench/things/attempt.ts";
import type { Chip } from "../../../server/bench/things/chip.ts";
import { AttemptsRows, AttemptsTable } from "../../../server/pages/kit/attemptTable.tsx";

const attempt = (note: string) =>
  ({
    ...{ id: note || "blank", startedAt: "2031-05-01T10:00:00Z", workloadId: "load", outcome: "pass" },
    ...{ clockMhz: 4600, voltageMv: 1200, durationS: 900, knobs: null, offsets: null, part: null },
    ...{ asSet: null, setAside: null, peakTempC: null, loadTempC: null, note },
  }) as unknown as Attempt;
const chip = { clockUnit: "MHz", axis: "clock", knobs: [], offset: null } as unknown as Chip;

const shown = (notes: readonly string[], more: string | null = null) => ({
  ...{ caption: "Attempts", chip, loads: new Map(), times: "moment" as const },
  rows: notes.map(attempt),
  more: more === null ? null : { href: more, title: "Older" },
});
const heads = (notes: readonly string[], more: string | null = null): string =>
  renderToString(<AttemptsTable {...shown(notes, more)} />);

describe("A table of attempts", () => {
  it("has a column for notes where there is one, or where rows may follow that have one", () => {
    expect(heads(["", "by the window"])).toContain(">Note<");
    expect(heads(["", ""])).not.toContain(">Note<");
    expect(heads([""], "/older")).toContain(">Note<");
    const later = renderToString(
      <table>
        <AttemptsRows {...shown([""])} />
      </table>,
    );
    expect(later).toContain('data-head="Note"');
  });

  it("has none for the hottest reading where nobody read one, and leaves its place empty on a phone", () => {
    const read = [attempt("one"), { ...attempt("two"), peakTempC: 71 }] as Attempt[];
    const [unread = "", hot = ""] = [
      ...renderToString(<AttemptsTable {...shown([])} rows={read} />).matchAll(
        /<td[^>]*data-head="Hottest".*?<\/td>/g,
      ),
    ].map(([cell]) => cell);
    expect(unread).toContain('<span class="on-wide">–</span>');
    expect(unread).not.toContain("data-unit");
    expect(hot).toMatch(/data-unit="°C".*>71</);
    expect(heads(["one", "two"])).not.toContain("Hottest");
    expect(heads(["one", "two"], "/older")).toContain("Hottest");
  });

  it("folds a row's knobs and note away on a phone, under the knob that was turned or what there is", () => {
    const knob = (id: string, name: string) => ({
      ...{ id, name, unit: "%", kind: "number", usual: 100, harder: "up", step: 5, decimals: 0 },
    });
    const card = {
      ...{ clockUnit: "MHz", axis: "offset", offset: { name: "Offset", unit: "MHz" } },
      knobs: [knob("power", "Power limit"), knob("fan", "Fan")],
    } as unknown as Chip;
    const set = (power: number, fan: number, note = "") => ({
      ...attempt(note),
      ...{ id: `${power}-${fan}`, knobs: { power, fan }, offset: 30, offsets: null },
    });
    const rows = [set(110, 60), set(100, 60), set(100, 50), set(90, 40, "cold room"), set(80, 30)];
    const shownOn = (chip: Chip) =>
      renderToString(<AttemptsTable {...shown([])} chip={chip} rows={rows as unknown as Attempt[]} />);
    const folds = (html: string) =>
      [...html.matchAll(/<summary>(.*?)<\/summary><div>(.*?)<\/div><\/details>/g)].map(([, word, all]) => [
        word?.replace("\u00a0", " "),
        all?.replaceAll("\u00a0", " "),
      ]);

    expect(folds(shownOn(card))).toEqual([
      ["Power limit 110 %", "Power limit 110 %, Fan 60 %"],
      ["Fan 60 %", "Power limit 100 %, Fan 60 %"],
      // Two were turned at once, and something was noted.
      ["knobs", "Power limit 100 %, Fan 50 %"],
      ["more", "Power limit 90 %, Fan 40 %; cold room"],
      ["knobs", "Power limit 80 %, Fan 30 %"],
    ]);
    // Where a clock and a voltage stand in the line, or a list of offsets, there is no room to name one.
    const listed = rows.map((row) => ({ ...row, offset: null, offsets: { "core 0": 30, "core 1": 25 } }));
    const beside = renderToString(
      <AttemptsTable {...shown([])} chip={card} rows={listed as unknown as Attempt[]} />,
    );
    expect(folds(beside)[0]?.[0]).toBe("knobs");
    expect(folds(shownOn({ ...card, axis: "clock" } as Chip)).map(([word]) => word)).toEqual([
      ...["knobs", "knobs", "knobs", "more", "knobs"],
    ]);
    const long = knob("memory", "Memory offset");
    const memory = renderToString(
      <AttemptsTable
        {...shown([])}
        chip={{ ...card, knobs: [{ ...long, unit: "MHz" }] } as unknown as Chip}
        rows={[600, 800].map((memory) => ({ ...set(0, 0), id: `${memory}`, knobs: { memory } })) as never}
      />,
    );
    expect(folds(memory)).toEqual([
      ["Memory offset", "Memory offset 600 MHz"],
      ["knobs", "Memory offset 800 MHz"],
    ]);
    const noted = renderToString(<AttemptsTable {...shown(["", "by the window"])} />);
    expect(folds(noted)).toEqual([["note", "by the window"]]);
  });
});
