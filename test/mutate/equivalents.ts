/** Changes that change nothing anyone could see, by the trimmed line they stand in, each with its reason. */
export const equivalents: readonly Readonly<{
  file: string;
  line: string;
  was: string;
  becomes: string;
  because: string;
}>[] = [];
