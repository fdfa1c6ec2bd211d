/** The line under a chart that says what the reader points at. It is heard only when asked for by keyboard. */
export const readingLine = (figure: HTMLElement, drawing: HTMLElement): HTMLElement => {
  const line = document.createElement("p");
  line.className = "reading";
  line.setAttribute("aria-live", "polite");
  drawing.after(line);
  figure.classList.add("drawn");
  return line;
};

export type ChartReading = Readonly<{ words: string; href?: string | undefined }>;

export const showReadings = (line: HTMLElement, readings: readonly ChartReading[]): void => {
  line.replaceChildren(
    ...readings.map(({ words, href }) => {
      const piece = document.createElement(href ? "a" : "span");
      if (href) (piece as HTMLAnchorElement).href = href;
      piece.textContent = words;
      return piece;
    }),
  );
};
