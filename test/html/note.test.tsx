import { renderToString } from "preact-render-to-string";
import { describe, expect, it } from "vitest";
import { Button } from "../../server/html/act.tsx";
import { Dial } from "../../server/html/dial.tsx";
import { Note, RefusalNote } from "../../server/html/note.tsx";
import { Timer } from "../../server/html/timer.tsx";

describe("RefusalNote", () => {
  it("leads from each refused field to the field", () => {
    const html = renderToString(
      <RefusalNote refused={{ message: "Not kept.", fields: { clockMhz: "At least 1." } }} />,
    );
    expect(html).toContain('role="alert"');
    expect(html).toContain('<a href="#field-clockMhz">At least 1.</a>');
  });

  it("says once what one field says too", () => {
    const words = "At least 1.";
    const html = renderToString(<RefusalNote refused={{ message: words, fields: { clockMhz: words } }} />);
    expect(html).toContain('<a href="#field-clockMhz">At least 1.</a>');
    expect(html.split(words)).toHaveLength(2);
  });

  it("says once what one of several fields says too", () => {
    const fields = { clockMhz: "At least 1.", voltageMv: "A number." };
    const html = renderToString(<RefusalNote refused={{ message: fields.clockMhz, fields }} />);
    expect(html.split(fields.clockMhz)).toHaveLength(2);
    expect(html).toContain('<a href="#field-voltageMv">A number.</a>');
  });

  it("is nothing where nothing was refused", () => {
    expect(renderToString(<RefusalNote refused={null} />)).toBe("");
  });
});

describe("Note", () => {
  it("is calm: a caution is a note, not an alarm", () => {
    expect(renderToString(<Note>Mind the heat.</Note>)).toContain('role="note"');
  });
});

describe("Button", () => {
  it("shows its single key, and is named by its words alone", () => {
    const html = renderToString(<Button letter="a">Arm this attempt</Button>);
    expect(html).toContain('data-key="a"');
    expect(html).toContain('aria-keyshortcuts="a"');
    expect(html).toContain('<kbd aria-hidden="true">A</kbd>');
  });
});

describe("Dial", () => {
  it("is a plain field with its unit when no script runs, its turners hidden by the style sheet", () => {
    const html = renderToString(<Dial name="clockMhz" label="Clock" unit="MHz" value="4675" step={25} />);
    expect(html).toMatch(/<input [^>]*name="clockMhz"[^>]*value="4675"/);
    expect(html).toContain('aria-label="Clock up"');
    expect(html.match(/class="turn needs-script"/g)).toHaveLength(2);
  });
});

describe("Timer", () => {
  it("shows how far the run was when the page was written", () => {
    const html = renderToString(
      <Timer
        name="t"
        startedAt="2031-05-04T15:58:00.000Z"
        now="2031-05-04T16:05:42.000Z"
        plannedS={1200}
        sighting="x"
        arrival="It runs."
        heartbeats="/beats"
      />,
    );
    expect(html).toContain(">07:42<");
    expect(html).toContain('role="timer"');
  });
});
