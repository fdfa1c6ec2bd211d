import { renderToString } from "preact-render-to-string";
import { describe, expect, it } from "vitest";
import { Unbroken } from "../../server/html/quantity.tsx";

describe("Unbroken", () => {
  it("holds numbers joined by hyphens together, and leaves other words as they are", () => {
    expect(renderToString(<Unbroken words="with timings 30-38-38-auto, a well-known one" />)).toBe(
      'with timings <span class="quantity">30-38-38-auto</span>, a well-known one',
    );
    expect(renderToString(<Unbroken words="Under <Stacking>." />)).toBe("Under &lt;Stacking>.");
  });
});
