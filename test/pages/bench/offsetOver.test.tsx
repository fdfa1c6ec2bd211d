import { renderToString } from "preact-render-to-string";
import { expect, it } from "vitest";
import type { OffsetNext } from "../../../server/bench/scale/offsetNext.ts";
import { OffsetProposed } from "../../../server/pages/bench/offsetProposed.tsx";
import type { Trying } from "../../../server/pages/bench/shown.ts";
import { plainText } from "../../support/answersSaid.ts";
import { testChip } from "../../support/evidenceRows.ts";

const trying = {
  advice: { byOffset: null, byKnob: null },
  asked: { aim: "clock" },
  form: { typed: {} },
  awaited: null,
} as unknown as Trying;

const shown = (byOffset: OffsetNext, parts: readonly string[]): string =>
  plainText(
    renderToString(
      <OffsetProposed
        trying={trying}
        byOffset={byOffset}
        chip={testChip({ axis: "offset", parts: parts.map((name) => ({ name, kernel: null })) })}
        answer={{ state: "looking", setting: null } as never}
        first={true}
      />,
    ),
  );

it("says of a whole chip that no run is worth it, of its parts that each is known, and else what would let it go on", () => {
  const settled = {
    settled: { offset: 30, offsets: null, provedTogether: null },
    ...{ because: "Found.", nearer: null, blocked: [] },
  } as OffsetNext;
  const whole = shown(settled, []);
  expect(whole).toContain("Known near enough");
  expect(whole).toContain("No further run is worth the bench time.");
  expect(shown(settled, ["core 1", "core 2"])).toContain("Each part is known.");
  const needs = "Take back what was passed over.";
  const none = shown({ state: "too-little", because: "Every offset was passed over.", needs }, []);
  expect(none).toContain("Nothing left to propose");
  expect(none).toContain(needs);
  expect(none).not.toContain("known");
});
