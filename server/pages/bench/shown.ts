import type { Advice, AdviceQuestion } from "../../answers/advice.ts";
import { knobIn } from "../../answers/adviceAlong.ts";
import { answerOf, type BuildAnswer } from "../../answers/answerOf.ts";
import { type Contested, contestedBy } from "../../answers/contested.ts";
import { type HeatExpected, heatExpected } from "../../answers/heatForecast.ts";
import { type Interrupted, interruptedAttempts } from "../../answers/interrupted.ts";
import { keptBenchAdvice, plainBenchAdvice } from "../../answers/plainAdvice.ts";
import { againstUnattendedAt } from "../../answers/unattended.ts";
import { type WorkOfAttempt, workOfAttempt } from "../../answers/workOfAttempt.ts";
import { settingDroppedBy } from "../../bench/order/appliedSettings.ts";
import type { Attempt } from "../../bench/things/attempt.ts";
import type { Board } from "../../bench/things/board.ts";
import type { Build } from "../../bench/things/build.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { stepAbove } from "../../bench/things/clockSteps.ts";
import { knobAt } from "../../bench/things/knob.ts";
import { missing } from "../../bench/things/refusal.ts";
import { isSetByClock, type SettingUnits } from "../../bench/things/setting.ts";
import type { Page } from "../../bench/things/thing.ts";
import { isId } from "../../bench/things/units.ts";
import type { Workload } from "../../bench/things/workload.ts";
import type { Journal } from "../../store/file/journal.ts";
import { offsetWritten, typedFrom } from "../attemptForm/attemptTyped.ts";
import { unitsOfBuild } from "../kit/clockUnit.ts";
import type { PageContext } from "../kit/context.ts";
import { type FormState, freshForm, type Refused, type Typed } from "../kit/forms.ts";
import { knobsWritten } from "../kit/knobTyped.ts";
import { type Pursuit, pursuitIn } from "../kit/pursuit.tsx";
import { clockTyped, voltageTyped } from "../kit/quantityTyped.ts";
import { voltageRowTyped } from "../kit/voltageRow.ts";
import { paths } from "../paths.ts";
import { adviceAskedIn, isDone, pursuitOf } from "./advised.ts";
import type { Dropped } from "./asSetTaps.tsx";
import { type AttendedShown, attendedShown } from "./attendedShown.ts";
import { attemptsLookedBack, carriedRoom, carriedSetting } from "./carried.ts";
import {
  dialsAtAnswer,
  dialsTyped,
  knobDialsTyped,
  offsetDialsTyped,
  onlyDials,
  plannedTyped,
} from "./dials.ts";
import { type Left, leftOf } from "./leftShown.ts";
import { type LiveShown, liveShown } from "./liveShown.ts";

/** What was just done, with the way back from it. */
export type Notice =
  | Readonly<{ kept: Attempt; wasArmed: boolean; contested: Contested | null; work: WorkOfAttempt }>
  | Readonly<{ deleted: Attempt }>
  | Readonly<{ broughtBack: Attempt }>;

export type BuildAtBench = Readonly<{ build: Build; chip: Chip; board: Board | null }>;

/** An attempt found running at start, with its build and what was typed about it. */
export type InterruptedShown = Readonly<{
  attempt: Interrupted;
  units: Chip | undefined;
  buildName: string;
  form: FormState;
}>;

export type Trying = Readonly<{
  advice: Advice;
  asked: AdviceQuestion;
  /** What was not ready in time and is to be asked for again; null where nothing is. */
  awaited: "advice" | "answer" | null;
  /** The bench with its dials at the last attempt, one clock step up; null where there is no last. */
  stepUp: string | null;
  form: FormState;
  /** The row of voltages for a map as it was typed, where it could not be read. */
  voltagesRefused: Readonly<{ typed: string; because: string }> | null;
  /** What the last attempt was set to besides clock and voltage, as the form has it. */
  last: Typed;
  /** With which attempt what software had set may have gone, where nobody has said since that it was applied again. */
  dropped: Dropped | null;
  heat: HeatAtSetting | null;
}>;

/** The setting asked about, and what it would heat up to. */
export type HeatAtSetting = Readonly<{
  clockMhz: number;
  voltageMv: number;
  plannedS: number | null;
  expected: HeatExpected;
}>;

export type Running = Readonly<{ attempt: Attempt; form: FormState; live: LiveShown }>;

export type Shown = Readonly<{
  now: string;
  demo: boolean;
  shown: BuildAtBench;
  builds: readonly Build[];
  workloads: readonly Workload[];
  interrupted: readonly InterruptedShown[];
  /** Running on other builds. */
  alsoRunning: readonly Readonly<{ attempt: Attempt; units: SettingUnits | undefined; buildName: string }>[];
  running: Running | null;
  trying: Trying | null;
  /** Who attends the build, and what its machine tells. */
  attended: AttendedShown;
  /** Whether a machine that does not exist may be let attend it. */
  mayInvent: boolean;
  /** Whether the machine that has booted is set otherwise than proposed. */
  isOtherwise: boolean;
  /** The build's one answer. */
  answer: BuildAnswer;
  left: Left;
  notice: Notice | null;
  /** The last attempt, where its attendant told how it ended and nobody has said otherwise since. */
  told: Attempt | null;
  refusal: UnplacedRefusal | null;
  pursuit: Pursuit;
  /** Sent with every form of the page, so that a second tap does nothing twice. */
  once: string;
  attempts: Page<Attempt>;
  isFirstPage: boolean;
}>;

/** A refusal whose form is no longer on the page, with the bench address that holds the dials as they were typed. */
export type UnplacedRefusal = Readonly<{ refused: Refused; dialsAt: string | null }>;

/** What the address asks for, and a form refused on the way: `of` is "trying", or the id of the attempt whose ending was refused. */
export type BenchQuestion = Readonly<{
  query: Typed;
  refused?: Readonly<{ of: string; form: FormState }>;
}>;

/** Null where the journal has no build yet. */
export function benchShown(
  context: PageContext,
  typed: BenchQuestion,
  advice: Advice | null = null,
): Shown | null {
  const { journal } = context;
  const now = context.now();
  const builds = journal.builds.all();
  const shown = buildShown(journal, builds, typed.query.build);
  if (shown === null) return null;
  const { asked, voltagesRefused } = voltagesRead(typed, shown.chip);
  const nameOf = (id: string) => builds.find((build) => build.id === id)?.name ?? "";
  const refusedOf = (id: string): FormState | null => (asked.refused?.of === id ? asked.refused.form : null);
  const interrupted = interruptedAttempts(journal).map((attempt) => ({
    attempt,
    units: unitsOfBuild(journal, attempt.buildId),
    buildName: nameOf(attempt.buildId),
    form: refusedOf(attempt.id) ?? freshForm(),
  }));
  const isInterrupted = (id: string) => interrupted.some(({ attempt }) => attempt.id === id);
  const running = journal.attempts.running().filter(({ id }) => !isInterrupted(id));
  const own = running.find(({ buildId }) => buildId === shown.build.id);
  const blocked = own !== undefined || interrupted.some(({ attempt }) => attempt.buildId === shown.build.id);
  const workloads = journal.workloads.all();
  const answer = answerOf(journal, context.reckonings, shown.build.id);
  const tried = blocked ? null : tryingOf(journal, shown, asked, { fitted: advice, answer, now });
  const awaited = tried?.awaited ?? (answer.reckoning ? "answer" : null);
  const trying = tried && { ...tried, awaited, voltagesRefused };
  const placed = [own?.id, blocked ? undefined : "trying", ...interrupted.map(({ attempt }) => attempt.id)];
  return {
    now,
    demo: context.demo,
    shown,
    builds,
    workloads,
    interrupted,
    alsoRunning: running
      .filter((attempt) => attempt !== own)
      .map((attempt) => ({
        attempt,
        units: unitsOfBuild(journal, attempt.buildId),
        buildName: nameOf(attempt.buildId),
      })),
    running:
      own === undefined
        ? null
        : { attempt: own, form: refusedOf(own.id) ?? freshForm(), live: liveShown(context, own, now) },
    trying,
    attended: attendedShown(context, shown.build.id, asked.query),
    mayInvent:
      context.inventMachine !== undefined &&
      isPlayed(shown.chip) &&
      context.attendants.of(shown.build.id, now) === null,
    isOtherwise: asked.query.otherwise !== undefined || asked.refused !== undefined,
    answer,
    left: leftOf(journal, shown, answer, {
      workloads,
      leaveRunning: trying?.advice.leaveRunning ?? null,
      against: (setting) => againstUnattendedAt({ ...context, now }, shown, setting),
    }),
    notice: noticeOf(journal, asked.query),
    told: own === undefined ? toldLast(journal, shown.build.id, now) : null,
    refusal: asked.refused && !placed.includes(asked.refused.of) ? unplaced(asked, shown.build.id) : null,
    pursuit: pursuitIn(asked.query),
    once: journal.newId(now),
    attempts: journal.attempts.pageOf(shown.build.id, { limit: 20, after: asked.query.after ?? null }),
    isFirstPage: asked.query.after === undefined,
  };
}

/** The row of voltages as addresses carry it; what cannot be read asks for no map. */
function voltagesRead(
  asked: BenchQuestion,
  chip: Chip,
): Readonly<{ asked: BenchQuestion; voltagesRefused: Trying["voltagesRefused"] }> {
  const { voltages, aim, ...query } = asked.query;
  if (!voltages) return { asked, voltagesRefused: null };
  const { voltagesMv, refused } = voltageRowTyped(voltages, chip.voltageCeilingMv ?? undefined);
  return refused === null
    ? {
        asked: { ...asked, query: { ...asked.query, voltages: voltagesMv.join(",") } },
        voltagesRefused: null,
      }
    : { asked: { ...asked, query }, voltagesRefused: { typed: voltages, because: refused } };
}

/** The build asked for, else the one last worked on, else the newest. */
function buildShown(
  journal: Journal,
  builds: readonly Build[],
  wanted: string | undefined,
): BuildAtBench | null {
  const last = wanted ? undefined : journal.attempts.newest()?.buildId;
  const build = wanted
    ? builds.find(({ id }) => id === wanted)
    : (builds.find(({ id }) => id === last) ?? newestOf(builds));
  if (wanted && !build) throw missing("build");
  const chip = build && journal.chips.find(build.chipId);
  if (!build || !chip) return null;
  return { build, chip, board: journal.boards.find(build.boardId) ?? null };
}

const newestOf = (builds: readonly Build[]): Build | undefined =>
  builds.reduce<Build | undefined>(
    (newest, build) => (newest === undefined || build.createdAt > newest.createdAt ? build : newest),
    undefined,
  );

function tryingOf(
  journal: Journal,
  { build, chip }: BuildAtBench,
  asked: BenchQuestion,
  { fitted, answer, now }: Readonly<{ fitted: Advice | null; answer: BuildAnswer; now: string }>,
): Omit<Trying, "voltagesRefused"> {
  const wished = adviceAskedIn(asked.query, build.id, now);
  const wasOver = fitted === null && isDone(answer, wished);
  const advice = wasOver ? keptBenchAdvice : (fitted ?? plainBenchAdvice(journal, wished));
  const attempts = journal.attempts.pageOf(build.id, { limit: attemptsLookedBack, after: null }).items;
  const [latest] = attempts;
  const knob = wished.aim === "knob" ? knobIn(chip, wished.knob) : null;
  const carried = {
    ...(knob && knobsWritten(chip, { [knob.id]: knobAt(knob, latest?.knobs ?? null) })),
    ...carriedSetting(attempts, chip),
  };
  const preset = {
    ...carriedRoom(latest, now),
    ...carried,
    ...(wasOver ? dialsAtAnswer(answer) : dialsTyped(advice.proposal)),
    ...(chip.axis === "offset" || latest?.voltageMv === null || knob !== null ? asBefore(latest) : {}),
    ...offsetDialsTyped(advice),
    ...listBesidePart(latest, advice),
    ...knobDialsTyped(advice, chip),
    ...onlyDials(asked.query),
  };
  const form = asked.refused?.of === "trying" ? asked.refused.form : freshForm(preset);
  const wanted = pinned(wished, advice);
  return {
    advice,
    asked: wanted,
    awaited: fitted === null ? "advice" : null,
    last: carried,
    dropped: settingDroppedBy(journal.attempts.triedOf(build.id), chip.appliedBy),
    stepUp: knob === null ? stepUpFrom(latest, chip, pursuitOf(wanted)) : null,
    form: { ...form, typed: { ...preset, ...form.typed } },
    heat: heatAtSetting(journal, build.id, { ...preset, ...form.typed }),
  };
}

/** Where one part was under test with the others at a list, they stay there while another part is proposed. */
function listBesidePart(last: Attempt | undefined, { byOffset }: Advice): Typed {
  const isOfPart = byOffset !== null && "durationS" in byOffset && byOffset.part !== null;
  if (!isOfPart || !last?.offsets || last.part === null) return {};
  return { offsets: offsetWritten(last).offsets };
}

/** Where no clock at a voltage is proposed, the dials begin where they last stood. */
function asBefore(last: Attempt | undefined): Typed {
  if (last === undefined) return {};
  const { clockMhz, voltageMv, workloadId, plannedS } = typedFrom(last);
  return { clockMhz, voltageMv, workloadId, ...(plannedS ? { plannedS } : {}) };
}

function unplaced({ query, refused }: BenchQuestion, buildId: string): UnplacedRefusal | null {
  if (!refused?.form.refused) return null;
  const dials = onlyDials(refused.form.typed);
  return {
    refused: refused.form.refused,
    dialsAt: refused.of === "trying" ? paths.bench({ build: buildId, ...dials, ...pursuitIn(query) }) : null,
  };
}

/** Looking for the lowest voltage, the clock once looked at stays the one, whatever is tried on the way. */
const pinned = (asked: AdviceQuestion, { proposal }: Advice): AdviceQuestion =>
  asked.aim === "voltage" && asked.clockMhz === null && !("missing" in proposal)
    ? { ...asked, clockMhz: proposal.clockMhz }
    : asked;

/** The same as before, one step up: the commonest entry. */
function stepUpFrom(last: Attempt | undefined, chip: Chip, pursuit: Pursuit): string | null {
  if (last === undefined || !isSetByClock(last)) return null;
  const { buildId, voltageMv, workloadId } = last;
  const minutes = (last.plannedS ?? last.durationS ?? 900) / 60;
  const clockMhz = stepAbove(last.clockMhz, chip);
  if (clockMhz === last.clockMhz) return null;
  return paths.bench({ build: buildId, clockMhz, voltageMv, minutes, workloadId, ...pursuit });
}

const inRange = (value: number | null, low: number, high: number): value is number =>
  value !== null && value >= low && value <= high;

/** Null where the dials name no setting. */
export function heatAtSetting(journal: Journal, buildId: string, typed: Typed): HeatAtSetting | null {
  const [clockMhz, voltageMv] = [clockTyped(typed.clockMhz), voltageTyped(typed.voltageMv)];
  if (!inRange(clockMhz, 1, 20_000) || !inRange(voltageMv, 100, 3000)) return null;
  const workloadId = typed.workloadId && journal.workloads.find(typed.workloadId) ? typed.workloadId : null;
  return {
    clockMhz,
    voltageMv,
    plannedS: plannedTyped(typed),
    expected: heatExpected(journal, { buildId, clockMhz, voltageMv, workloadId }),
  };
}

/** An invented machine is one whose processor is set by clock and voltage. */
const isPlayed = ({ kind, axis }: Chip): boolean => kind === "cpu" && axis === "clock";

/** A day later it is only one of those before. */
const toldForMs = 86_400_000;

function toldLast(journal: Journal, buildId: string, now: string): Attempt | null {
  const [last] = journal.attempts.pageOf(buildId, { limit: 1, after: null }).items;
  const isTold = last?.toldBy === "attendant" && last.outcome !== "running" && last.setAside === null;
  return isTold && Date.parse(now) - Date.parse(last.updatedAt) < toldForMs ? last : null;
}

function noticeOf(journal: Journal, { kept, deleted, back }: Typed): Notice | null {
  const find = (id: string | undefined) => (id && isId(id) ? journal.attempts.find(id) : undefined);
  const gone = deleted && isId(deleted) ? journal.attempts.findDeleted(deleted) : undefined;
  if (gone) return { deleted: gone };
  const returned = find(back);
  if (returned) return { broughtBack: returned };
  const attempt = find(kept);
  if (!attempt || attempt.outcome === "running") return null;
  const wasArmed = journal.attempts
    .editsOf(attempt.id)
    .some(({ changes }) => changes.outcome?.[0] === "running");
  return {
    kept: attempt,
    wasArmed,
    contested: contestedBy(journal, attempt),
    work: workOfAttempt(journal, attempt),
  };
}
