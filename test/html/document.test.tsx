import { describe, expect, it } from "vitest";
import { Document, fragmentHtml, pageHtml } from "../../server/html/document.tsx";

const frame = {
  name: "Book",
  nav: [
    { href: "/", title: "First", current: true },
    { href: "/second", title: "Second" },
  ],
  assets: {
    stylesheet: "/web/a.css",
    benchStyles: "/web/b.css",
    accountStyles: "/web/a.css",
    script: "/web/a.js",
    swaps: "/vendor/swaps.js",
    swapping: "/web/swapping.js",
  },
  label: "demo, invented data",
};

describe("Document", () => {
  const html = pageHtml(
    <Document title="Page <1>" frame={frame}>
      <h1>Hello</h1>
    </Document>,
  );

  it("is a whole page in a language, sized for the screen it is on", () => {
    expect(html).toMatch(/^<!doctype html><html lang="en">/);
    expect(html).toContain('content="width=device-width, initial-scale=1"');
    expect(html).toContain("<title>Page &lt;1> · Book</title>");
  });

  it("can be skipped into, and marks the page that is open", () => {
    expect(html).toContain('href="#main"');
    expect(html).toContain('<main id="main"');
    expect(html.match(/aria-current="page"/g)).toHaveLength(1);
  });

  it("says that what it shows was invented, where it was", () => {
    expect(html).toContain("demo, invented data");
    expect(pageHtml(<Document title="x" frame={{ ...frame, label: null }} children={null} />)).not.toContain(
      "demo",
    );
  });

  it("carries no script or style of its own", () => {
    expect(html).not.toMatch(/<style|\sstyle=|\son[a-z]+=/);
    for (const [script] of html.matchAll(/<script[^>]*>/g)) expect(script).toContain("src=");
  });

  it("reads its swap settings as the library does", () => {
    const [, settings = ""] = /name="htmx-config" content="([^"]*)"/.exec(html) ?? [];
    expect(JSON.parse(settings.replaceAll("&quot;", '"'))).toEqual({
      history: "reload",
      includeIndicatorCSS: false,
      noSwap: [204, 304, 401],
    });
  });

  it("gives its charts in one block that nothing inside can close", () => {
    const words = "</script><script>alert(1)</script>\u2028";
    const withCharts = pageHtml(
      <Document title="x" frame={frame} charts={{ limit: { words } }} children={null} />,
    );
    const [, block = ""] =
      /<script type="application\/json" data-charts(?:="[^"]*")?>(.*?)<\/script>/.exec(withCharts) ?? [];
    expect(JSON.parse(block)).toEqual({ limit: { words } });
    expect(withCharts).not.toContain("alert(1)</script>");
  });

  it.each(["/vendor/swaps.js", "/web/swapping.js", "/web/b.css"])(
    "loads %s, which only pages that swap need, only where there are no charts, unless told",
    (file) => {
      const withCharts = <Document title="x" frame={frame} charts={{}} children={null} />;
      expect(html).toContain(file);
      expect(pageHtml(withCharts)).not.toContain(file);
      expect(pageHtml(<Document title="x" frame={frame} charts={{}} swaps children={null} />)).toContain(
        file,
      );
    },
  );
});

describe("fragmentHtml", () => {
  it("is a piece without a page around it", () => {
    expect(fragmentHtml(<p>{"a < b"}</p>)).toBe("<p>a &lt; b</p>");
  });
});
