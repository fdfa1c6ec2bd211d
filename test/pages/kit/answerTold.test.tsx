import { renderToString } from "preact-render-to-string";
import { expect, it } from "vitest";
import type { BuildAnswer } from "../../../server/answers/answerOf.ts";
import { AnswerHead } from "../../../server/pages/bench/answered.tsx";
import { AnswerPiece } from "../../../server/pages/build/pieces.tsx";
import { AnswerLine } from "../../../server/pages/kit/answerTold.tsx";

const answer = {
  ...{
    setting: null,
    state: "looking",
    reckoning: false,
    because: [],
    changedBecause: [],
    worthTrying: null,
  },
  ...{ highestSeen: null, restsOn: { attempts: 2, longestS: 900 }, knobs: null, load: null },
  byOffset: {
    ...{ unit: "mV", offset: null, offsets: { "core 1": -80, "core 2": -110 } },
    ...{ parts: [], provedTogether: false, because: [] },
  },
} as unknown as BuildAnswer;

it("an answer by offset holds each part and its offset together, in the headings and in a line", () => {
  const whole = "core\u00a01 −80\u00a0mV, core\u00a02 −110\u00a0mV";
  const build = { id: "b", name: "Shelf", hottestAmbientC: 30 };
  const shown = { answer, asked: { build }, frontier: { attempts: 2 } };
  expect(renderToString(<AnswerHead build={build as never} answer={answer} />)).toContain(`>Run ${whole}<`);
  expect(renderToString(<AnswerLine buildId="b" answer={answer} />)).toContain(`Run ${whole}: `);
  expect(renderToString(<AnswerPiece shown={shown as never} />)).toContain(`<h1>Run ${whole}</h1>`);
});
