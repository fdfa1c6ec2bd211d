/** How an attempt ended. */
export const outcomes = [
  "running",
  "pass",
  "stopped",
  "no-start",
  "fell-back",
  "freeze",
  "restart",
  "system-error",
  "app-closed",
  "driver-reset",
  "wrong-result",
  "too-hot",
  "power-cut",
  "disturbed",
  "died",
  "artefacts",
  "slower",
  "load-stalled",
  "setting-lost",
  "too-cold",
  "supply-tripped",
] as const;
export type Outcome = (typeof outcomes)[number];

/** What an outcome counts as: `thermal` speaks of heat alone, `nothing` of neither clock nor heat. */
export type OutcomeClass = "running" | "pass" | "stopped" | "crash" | "thermal" | "nothing";

const classes: Readonly<Record<Outcome, OutcomeClass>> = {
  running: "running",
  pass: "pass",
  stopped: "stopped",
  "no-start": "crash",
  "fell-back": "crash",
  freeze: "crash",
  restart: "crash",
  "system-error": "crash",
  "app-closed": "crash",
  "driver-reset": "crash",
  "wrong-result": "crash",
  "too-hot": "thermal",
  "power-cut": "nothing",
  disturbed: "nothing",
  died: "crash",
  artefacts: "crash",
  slower: "nothing",
  "load-stalled": "nothing",
  "setting-lost": "nothing",
  "too-cold": "nothing",
  "supply-tripped": "nothing",
};

export const outcomeClass = (outcome: Outcome): OutcomeClass => classes[outcome];
export const isCrash = (outcome: Outcome): boolean => classes[outcome] === "crash";

/** Outcomes that never ran: they are crashes at time 0. */
export const neverStarted = (outcome: Outcome): boolean => outcome === "no-start" || outcome === "fell-back";

/** Plain words by themselves, as on a button or in a table. */
export const outcomeWords: Readonly<Record<Outcome, string>> = {
  running: "running",
  pass: "passed",
  stopped: "stopped, no fault",
  "no-start": "no start",
  "fell-back": "fell back to defaults",
  freeze: "froze",
  restart: "restarted",
  "system-error": "system error",
  "app-closed": "load closed itself",
  "driver-reset": "driver reset",
  "wrong-result": "wrong result",
  "too-hot": "too hot",
  "power-cut": "power cut",
  disturbed: "disturbed",
  died: "died",
  artefacts: "showed artefacts",
  slower: "ran slower",
  "load-stalled": "load stalled",
  "setting-lost": "setting was lost",
  "too-cold": "too cold",
  "supply-tripped": "supply tripped",
};

/** The same as what a setting did, within a sentence: "4700 MHz had a driver reset". */
export const outcomeInSentence: Readonly<Record<Outcome, string>> = {
  ...outcomeWords,
  stopped: "was stopped",
  "no-start": "did not start",
  "system-error": "met a system error",
  "app-closed": "closed the load",
  "driver-reset": "had a driver reset",
  "wrong-result": "gave a wrong result",
  "too-hot": "ran too hot",
  "power-cut": "lost power",
  disturbed: "was disturbed",
  "load-stalled": "stalled the load",
  "setting-lost": "was lost",
  "too-cold": "ran too cold",
  "supply-tripped": "tripped the supply",
};
