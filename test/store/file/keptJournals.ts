import { randomBytes } from "node:crypto";
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { pathToFileURL } from "node:url";
import { gunzipSync, gzipSync } from "node:zlib";
import { editAttempt, recordAttempt, setAsideAttempt } from "../../../server/actions/attempts.ts";
import { addBuild, addMount } from "../../../server/actions/builds.ts";
import { addNoise } from "../../../server/actions/noise.ts";
import {
  boardActions,
  chipActions,
  ensureStandardRule,
  workloadActions,
} from "../../../server/actions/parts.ts";
import { type AttemptDraft, attemptDraft } from "../../../server/bench/things/attempt.ts";
import { attemptFieldNames, fieldDescription } from "../../../server/bench/things/attemptFields.ts";
import { boardDraft } from "../../../server/bench/things/board.ts";
import { buildDraft, mountDraft } from "../../../server/bench/things/build.ts";
import { chipDraft } from "../../../server/bench/things/chip.ts";
import type { FieldKind } from "../../../server/bench/things/fieldKinds.ts";
import { versionDraft, versionFrom } from "../../../server/bench/things/version.ts";
import { workloadDraft } from "../../../server/bench/things/workload.ts";
import { type Journal, openJournal } from "../../../server/store/file/journal.ts";
import { madeJpeg } from "../../support/madePictures.ts";

const migrations = path.resolve(import.meta.dirname, "../../../migrations");
const folder = path.join(import.meta.dirname, "journals");

/** How many migrations every released schema had. */
export const released = readdirSync(migrations).filter((name) => name.endsWith(".sql")).length;

const nameOf = (steps: number): string => path.join(folder, `schema-${String(steps).padStart(2, "0")}.db.gz`);

/** Lays out the journal that the program of a released schema left. */
export const layOut = (steps: number, file: string): void =>
  writeFileSync(file, gunzipSync(readFileSync(nameOf(steps))));

/** Something that may stand in a field of each kind. */
const sample: Readonly<Record<Exclude<FieldKind, "choice" | "workload" | "outcome" | "instant">, unknown>> = {
  clock: 4490.125,
  voltage: 1151.5,
  temperature: 61,
  power: 125.5,
  current: 96.4,
  fanSpeed: 1450,
  duration: 400,
  number: 12,
  yesNo: true,
  text: "level 3",
  note: "one step up",
  tags: ["evening", "quiet"],
  alsoSet: [{ name: "fabric clock", value: 2000, harder: "up" }],
  offset: -22.5,
  byPart: { "core 0": -20, "core 1": -12.5 },
  temperatures: { hotspot: 84, edge: 70.5 },
  counts: { cache: 10, bus: 2 },
  knobs: { "power-limit": 105, "load-line": "level 3" },
  starts: { tried: 4, up: 3 },
  errors: [{ atS: 61, module: "A2", bit: 17 }],
  confirmation: false,
};

/** What a chip must be for its attempts to have every field filled in. */
export const setByEverything = {
  axis: "offset",
  offset: { name: "Curve offset", unit: "mV", step: 2.5, harder: "down", low: -100, high: 50 },
  knobs: [
    {
      id: "power-limit",
      name: "Power limit",
      unit: "%",
      step: 5,
      harder: "up",
      belongs: "context",
      usual: 100,
    },
    {
      id: "load-line",
      name: "Load-line",
      harder: "none",
      belongs: "setting",
      choices: ["level 3", "level 5"],
    },
  ],
};

/** An attempt with every field filled in that there is. */
export function fullDraft(workloadId: string, startedAt: string): AttemptDraft {
  const filled = attemptFieldNames.map((name) => {
    const { kind, choices = {} } = fieldDescription[name];
    return [name, kind === "choice" ? Object.keys(choices)[0] : sample[kind as keyof typeof sample]];
  });
  return attemptDraft.parse({ ...Object.fromEntries(filled), workloadId, startedAt, outcome: "freeze" });
}

/** Writes down a small evening with every field of an attempt in it. */
export function fill(journal: Journal): void {
  let now = Date.parse("2031-05-04T13:42:00.000Z");
  const at = () => {
    now += 60_000;
    return { journal, now: new Date(now).toISOString() };
  };
  ensureStandardRule(at());
  const chip = chipActions.add(
    chipDraft.parse({ name: "Wren 6", kind: "cpu", tempLimitC: 95, ...setByEverything }),
    at(),
  );
  const board = boardActions.add(boardDraft.parse({ name: "Vole", formFactor: "small" }), at());
  const load = workloadActions.add(workloadDraft.parse({ name: "Long sums", kind: "all-core" }), at());
  const things = { chipId: chip.id, boardId: board.id };
  const build = addBuild(buildDraft.parse({ name: "Cupboard", cooler: "tower", ...things }), at());
  addMount(build.id, mountDraft.parse({ mountedAt: "2031-05-03T14:00:00.000Z", paste: "new" }), at());
  const firmware = versionDraft.parse({ of: "firmware", name: "F12", since: "2031-05-03T15:00:00.000Z" });
  const kept = { id: journal.newId(at().now), createdAt: at().now, updatedAt: at().now, version: 1 };
  journal.versions.put(kept, { ...versionFrom(firmware), buildId: build.id });
  addNoise(build.id, { distanceM: 0.5, levelsDba: [41, 42.5] }, at());
  for (let i = 0; i < 20; i++) {
    const startedAt = new Date(Date.parse("2031-05-03T13:00:00.000Z") + i * 1_200_000).toISOString();
    const plain = {
      workloadId: load.id,
      clockMhz: 4500 + 25 * i,
      voltageMv: 1206.25,
      offset: -10,
      durationS: 900,
      startedAt,
    };
    const draft = i % 2 === 0 ? fullDraft(load.id, startedAt) : { ...plain, outcome: "pass" as const };
    const { id } = recordAttempt(build.id, draft, at());
    editAttempt(id, { note: `run ${i}` }, null, at());
    if (i === 5) journal.attempts.keepOutput(id, "pass 3 of 5\nsum 0x1f differs");
    if (i === 7) setAsideAttempt(id, "loose cable", at());
    if (i === 3) {
      const t = Array.from({ length: 40 }, (_, second) => second);
      const values = [t.map((second) => 30 + second / 2)];
      const samples = { t, values, channels: [{ channel: "temperature", unit: "°C" }] };
      journal.traces.append(id, samples, startedAt, at().now);
    }
  }
}

/** Adds to a filled journal what it has of no other table yet. */
export function fillTheRest(journal: Journal, now: string): void {
  const { attempts, boards, builds, captureSensors, importMappings, keptAnswers, pictures, traces } = journal;
  const [build] = builds.all();
  const [attempt] = attempts.all();
  if (build === undefined || attempt === undefined) throw new Error("There is nothing to add to.");
  const kept = { id: journal.newId(now), createdAt: now, updatedAt: now, version: 1 };
  const image = madeJpeg();
  pictures.put(kept, {
    ...{ buildId: build.id, mountId: null, attemptId: null, caption: "From the left" },
    ...{ type: "image/jpeg", widthPx: 640, heightPx: 480, sizeBytes: image.length },
  });
  pictures.keepImage(kept.id, image);
  const step = { list: "boards", thingId: kept.id, before: null, left: "plain" };
  journal.merges.keep({ id: journal.newId(now), at: now, added: 1, updated: 0 }, [step]);
  boardActions.edit(boards.all()[0]?.id ?? "", { note: "lent" }, null, { journal, now });
  journal.writeUpWords.keep({
    ...{
      builds: build.id,
      slot: "opening",
      words: "Quieter than it was.",
      replaced: "It was.",
      updatedAt: now,
    },
  });
  keptAnswers.keep(build.id, { use: "benchmark", goal: "clock" }, { clockMhz: 4825, chance: 0.95 });
  journal.answeredPosts.keep(
    { key: "k-1", address: "/api/chips", bodyHash: "a1b2", status: 201, answer: '{"name":"Wren 6"}' },
    now,
  );
  importMappings.keep("clock;volt", { clock: "clockMhz" }, now);
  traces.keepMatches(["t", "die"], [{ column: "die", channel: "temperature", unit: "°C" } as never], now);
  captureSensors.keep([{ sensor: "die/temp1", channel: "temperature" } as never], true, now);
  attempts.beat(attempt.id, {
    ...{ from: "machine", seq: 4, elapsedS: 300, at: now, tempC: 71, powerW: 120.5 },
    ...{ loadVoltageMv: 1180, clockMhz: 4800, correctedErrors: { cache: 1 }, bootId: "b-1" },
  });
}

/** Keeps a filled journal of the schema as it is now, for the day when it is an old one. */
function keepJournal(): void {
  const own = mkdtempSync(path.join(os.tmpdir(), "rungbook-kept-"));
  const journal = openJournal(path.join(own, "filled.db"), { migrations, randomBytes });
  journal.writeNow(() => {
    fill(journal);
    fillTheRest(journal, "2031-05-05T08:00:00.000Z");
  });
  journal.backUpTo(path.join(own, "kept.db"));
  journal.close();
  writeFileSync(nameOf(released), gzipSync(readFileSync(path.join(own, "kept.db")), { level: 9 }));
  rmSync(own, { recursive: true });
  console.log(`Kept ${path.basename(nameOf(released))}`);
}

if (import.meta.url === pathToFileURL(process.argv[1] ?? "").href) keepJournal();
