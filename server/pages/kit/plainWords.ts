const units: readonly (readonly [RegExp, string])[] = [
  [/Mhz$/, " MHz"],
  [/Mv$/, " mV"],
  [/Dba$/, " dBA"],
  [/Pct$/, " %"],
  [/C$/, " °C"],
  [/A$/, " A"],
  [/M$/, " m"],
  [/S$/, " s"],
  [/W$/, " W"],
];

/** The name of a field without its unit: `tempLimitC` is the temp limit. */
export const plainWords = (field: string): string =>
  field.replace(/(Mhz|Mv|Dba|Pct|Id|[ACMSW])$/, "").replace(/[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`);

/** The unit that stands in the name of a field, behind a blank; nothing where there is none. */
export const unitOfField = (field: string): string => units.find(([ending]) => ending.test(field))?.[1] ?? "";
