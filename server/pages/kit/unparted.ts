/** A number and its unit, or a name and its number, never part at the end of a line: "−60 mV on core 1". */
export const unparted = (words: string): string =>
  words
    .replace(/(\d) (V|mV|MHz|MT\/s|°C|dB\(A\)|W|%)(?![\w²])/g, "$1\u00a0$2")
    .replace(/(\p{L}{2}) (\d{1,3})(?= [−+]?\d|,|:|$)/gu, "$1\u00a0$2");
