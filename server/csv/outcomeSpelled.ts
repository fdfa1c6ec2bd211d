import { type Outcome, outcomes } from "../bench/things/outcome.ts";

/** How testers write down that an attempt ended one way or another (common practice). What fits none is asked. */
const spellings: Readonly<Record<Exclude<Outcome, "running">, readonly string[]>> = {
  pass: [
    "pass",
    "passed",
    "ok",
    "okay",
    "stable",
    "good",
    "held",
    "completed",
    "complete",
    "finished",
    "done",
  ],
  stopped: ["stopped", "stop", "stopped by hand", "stopped early", "aborted", "cancelled", "canceled"],
  "no-start": [
    "no start",
    "no post",
    "no boot",
    "did not start",
    "did not boot",
    "did not post",
    "wont start",
  ],
  "fell-back": ["fell back", "fallback", "fell back to defaults", "started on defaults", "back to defaults"],
  freeze: ["freeze", "froze", "frozen", "hang", "hung", "hard lock", "lock up", "lockup", "locked up"],
  restart: ["restart", "restarted", "reboot", "rebooted", "reset", "spontaneous restart", "shut off"],
  "system-error": ["system error", "blue screen", "bluescreen", "stop error", "kernel panic", "panic"],
  "app-closed": ["app closed", "app crash", "program closed", "program crash", "load closed", "load crashed"],
  "driver-reset": ["driver reset", "driver crash", "driver timeout", "driver restarted", "display reset"],
  "wrong-result": [
    "wrong result",
    "wrong results",
    "miscalculated",
    "calculation error",
    "rounding error",
    "verification failed",
    "memory error",
    "memory errors",
  ],
  "too-hot": [
    "too hot",
    "overheat",
    "overheated",
    "thermal",
    "thermal stop",
    "thermal shutdown",
    "throttled",
  ],
  "power-cut": ["power cut", "power loss", "power lost", "overcurrent", "mains"],
  died: ["died", "dead", "froze or restarted", "freeze or restart", "went black", "black screen"],
  artefacts: ["artefacts", "artifacts", "artefact", "artifact", "flicker", "corruption on screen"],
  slower: ["slower", "ran slower", "lower score", "score fell"],
  "load-stalled": ["load stalled", "stalled", "load stopped working", "load stood still"],
  "setting-lost": ["setting lost", "settings lost", "setting dropped", "settings dropped"],
  "too-cold": ["too cold", "cold bug", "cold"],
  "supply-tripped": ["supply tripped", "supply trip", "tripped", "protection tripped"],
  disturbed: ["disturbed", "disturbance", "interrupted", "operator error", "cable", "void", "invalid"],
};

const plain = (word: string): string =>
  word
    .toLowerCase()
    .replace(/['’.!]/g, "")
    .replace(/[\s_-]+/g, " ")
    .trim();

const known = new Map<string, Outcome>([
  ...outcomes.map((outcome) => [plain(outcome), outcome] as const),
  ...Object.entries(spellings).flatMap(([outcome, words]) =>
    words.map((word) => [plain(word), outcome as Outcome] as const),
  ),
]);

/** The outcome a word stands for; undefined where the word could mean several or none. */
export const outcomeSpelled = (word: string): Outcome | undefined => known.get(plain(word));
