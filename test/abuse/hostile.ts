import type { SeededRandom } from "../../server/numerics/seededRandom.ts";

export const oneOf = <Thing>({ index }: SeededRandom, from: readonly Thing[]): Thing =>
  from[index(from.length)] as Thing;

export const chance = ({ uniform }: SeededRandom, of: number): boolean => uniform() < of;

/** What every object answers to. */
export const inheritedNames = [
  "constructor",
  "__proto__",
  "prototype",
  "toString",
  "valueOf",
  "hasOwnProperty",
  "__defineGetter__",
  "__lookupSetter__",
] as const;

export const hostileTexts: readonly string[] = [
  ...inheritedNames,
  "",
  " ",
  "\0",
  "a\0b",
  "\ud800",
  "x\udfff\ud83d",
  "\u202e\ufeff\u2028",
  "a\r\nb: c",
  "%00%ff",
  "%ED%A0%80",
  "%",
  "../../../../etc/passwd",
  "'; DROP TABLE attempts; --",
  "<script>alert(1)</script>",
  "&lt;&#0;",
  "NaN",
  "Infinity",
  "-0",
  "1e309",
  "9".repeat(400),
  "0x1f",
  "1.337,5",
  "١٢٣",
  "null",
  "[object Object]",
  "9999-12-31T23:59:59.999+23:59",
  "0000-01-01T00:00:00Z",
  "2031-02-30T00:00:00Z",
  "00000000-0000-7000-8000-000000000001",
  "0197f000-0000-7000-8000-00000000dead",
  "x".repeat(130),
  "long ".repeat(20_000),
  "e\u0301\u0302".repeat(3000),
];

const numbers: readonly number[] = [
  0,
  -0,
  -1,
  1.5,
  1e-7,
  5e-324,
  1e21,
  1.7e308,
  -1.7e308,
  2 ** 31,
  2 ** 53,
  2 ** 63,
  -(2 ** 63),
  Number.MAX_SAFE_INTEGER,
];

/** Words that no value of a program can stand for; `jsonText` writes them out. */
const written: Readonly<Record<string, () => string>> = {
  "(deep list)": () => `${"[".repeat(30_000)}${"]".repeat(30_000)}`,
  "(deep object)": () => `${'{"a":'.repeat(30_000)}1${"}".repeat(30_000)}`,
  "(beyond doubles)": () => "1e999",
  "(inherited)": () => '{"__proto__":{"name":"x"},"constructor":{"prototype":{"name":"x"}}}',
  "(half a letter)": () => '"\\ud800"',
  "(key twice)": () => '{"name":"one","name":"two"}',
};

export function hostileValue(random: SeededRandom): unknown {
  const kind = random.index(6);
  if (kind < 2) return oneOf(random, hostileTexts);
  if (kind === 2) return oneOf(random, numbers);
  if (kind === 3) return oneOf(random, Object.keys(written));
  if (kind === 4) return oneOf(random, [null, true, false, [], {}, [[]], [null], { length: -1 }]);
  return Array.from({ length: 1 + random.index(600) }, () => oneOf(random, numbers));
}

export const jsonText = (value: unknown): string =>
  (JSON.stringify(value) ?? "").replace(/"(\([a-z ]+\))"/g, (plain, word) => written[word]?.() ?? plain);

/** The bytes of an address's part, halves of letters and all. */
export const escaped = (text: string): string =>
  [...text].map((letter) => (/^[\w.~-]$/.test(letter) ? letter : percentOf(letter))).join("");

const percentOf = (letter: string): string =>
  /^[\ud800-\udfff]$/.test(letter)
    ? "%ED%A0%80"
    : [...Buffer.from(letter)].map((byte) => `%${byte.toString(16).padStart(2, "0")}`).join("");
