import { renderToString } from "preact-render-to-string";
import { describe, expect, it } from "vitest";
import { CheckField, ChoiceField, NoteField, NumberField, TextField } from "../../server/html/field.tsx";

const clock = { name: "clockMhz", label: "Clock", unit: "MHz" };

describe("a field", () => {
  it("is named by its label and carries its unit", () => {
    const html = renderToString(<NumberField {...clock} value="4625" />);
    expect(html).toContain('<label for="field-clockMhz">Clock<span class="unit"> MHz</span>');
    expect(html).toContain('id="field-clockMhz"');
    expect(html).toContain('value="4625"');
  });

  it("says its error beside it and points at it, before the hint", () => {
    const html = renderToString(<NumberField {...clock} value="0" error="At least 1 MHz." hint="As set." />);
    expect(html).toContain('aria-invalid="true"');
    expect(html).toContain('aria-describedby="field-clockMhz-error field-clockMhz-hint"');
    expect(html).toContain('<p class="error" id="field-clockMhz-error">At least 1 MHz.</p>');
  });

  it("points at nothing where there is nothing to say", () => {
    const html = renderToString(<NumberField {...clock} />);
    expect(html).not.toMatch(/aria-invalid|aria-describedby/);
  });

  it("keeps what was typed, number or not", () => {
    expect(renderToString(<NumberField {...clock} value="4,7 GHz" />)).toContain('value="4,7 GHz"');
    expect(renderToString(<NoteField name="note" label="Note" value={"two\nlines"} />)).toContain(
      "two\nlines",
    );
  });

  it("lets nothing typed become markup", () => {
    const typed = `"><script>alert(1)</script>&amp;`;
    for (const html of [
      renderToString(<TextField name="name" label={typed} value={typed} error={typed} hint={typed} />),
      renderToString(<NoteField name="note" label="Note" value={`</textarea>${typed}`} />),
      renderToString(<ChoiceField name="load" label="Load" choices={[{ value: typed, title: typed }]} />),
    ]) {
      expect(html).not.toContain("<script>");
      expect(html).toContain("&lt;script");
    }
  });

  it("marks the chosen of several, and words the empty choice", () => {
    const choices = [
      { value: "a", title: "A" },
      { value: "b", title: "B" },
    ];
    const html = renderToString(
      <ChoiceField name="load" label="Load" choices={choices} value="b" none="any load" />,
    );
    expect(html).toMatch(/<option value(="")?>any load<\/option>/);
    expect(html).toMatch(/<option (selected )?value="b"( selected)?>B<\/option>/);
    expect(html).not.toMatch(/<option [^>]*selected[^>]*>A/);
  });

  it("stays ticked when it was", () => {
    const html = renderToString(<CheckField name="throttled" label="Throttled" checked />);
    expect(html).toMatch(/type="checkbox"[^>]* checked/);
  });

  it("can stand twice on a page under two scopes", () => {
    expect(renderToString(<TextField name="name" label="Name" scope="chip" />)).toContain(
      'id="field-chip-name"',
    );
  });
});
