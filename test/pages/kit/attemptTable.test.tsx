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
});
