import type { FastifyInstance, FastifyRequest } from "fastify";
import { countAsSaid } from "../../actions/traceFigures.ts";
import { figuresOf } from "../../answers/heatReckoned.ts";
import { likeGroups } from "../../bench/heat/likeRuns.ts";
import { measuredSaid } from "../../bench/heat/measuredBeside.ts";
import type { Attempt } from "../../bench/things/attempt.ts";
import { invalid, missing } from "../../bench/things/refusal.ts";
import { isId } from "../../bench/things/units.ts";
import { fragmentHtml, pageHtml } from "../../html/document.tsx";
import { idOf, read } from "../../requests/reading.ts";
import type { Journal } from "../../store/file/journal.ts";
import { valueAsked } from "../kit/addressed.ts";
import { unitsOfBuild } from "../kit/clockUnit.ts";
import type { PageContext } from "../kit/context.ts";
import { formAfter, freshForm, type Refused, type Typed, typedIn, wantsPiece } from "../kit/forms.ts";
import type { OverlayAs } from "../kit/heatOverlay.ts";
import { quantityTyped } from "../kit/quantityTyped.ts";
import { sendPage } from "../kit/sendPage.ts";
import { paths } from "../paths.ts";
import { frameOf } from "../siteMap.ts";
import type { HeatListShown } from "./listShown.ts";
import { HeatPage, OverlayPieces, RunRows } from "./listView.tsx";
import { registerLogPages } from "./logRoutes.tsx";
import { mostOverlaid, overlaidRuns } from "./overlay.ts";
import { aroundOf, type HeatPageQuestion, heatShown } from "./shown.ts";
import { HeatRunPage, NoTracePage, RunPieces } from "./view.tsx";

export async function registerHeatPages(app: FastifyInstance, context: PageContext): Promise<void> {
  const { journal } = context;

  app.get("/heat", { schema: { hide: true } }, async (request, reply) => {
    const shown = await listShown(context, request);
    reply.header("vary", "HX-Request");
    if (wantsPiece(request.headers)) return sendPage(reply, fragmentHtml(<RunRows shown={shown} />));
    const page = <HeatPage frame={frameOf(context, "heat")} shown={shown} />;
    return sendPage(reply, pageHtml(page), shown.refused ? 422 : 200);
  });

  app.get(paths.heatOverlay(), { schema: { hide: true } }, async (request, reply) => {
    const shown = await listShown(context, request);
    if (shown.awaited > 0) return reply.code(204).send();
    return sendPage(reply, fragmentHtml(<OverlayPieces shown={shown} />));
  });

  app.get("/heat/:id", { schema: { hide: true } }, async (request, reply) => {
    const attempt = attemptNamed(journal, idOf(request, "attempt"), "attempt");
    const asked = askedTyped(typedIn(request.query));
    const shown = await heatShown(context, attempt, asked);
    const frame = frameOf(context, "heat");
    if (shown === null)
      return sendPage(reply, pageHtml(<NoTracePage frame={frame} around={aroundOf(journal, attempt)} />));
    return sendPage(
      reply,
      pageHtml(<HeatRunPage frame={frame} shown={shown} />),
      asked.form.refused ? 422 : 200,
    );
  });

  app.get(paths.heatReading(":id"), { schema: { hide: true } }, async (request, reply) => {
    const attempt = attemptNamed(journal, idOf(request, "attempt"), "attempt");
    const shown = await heatShown(context, attempt, askedTyped(typedIn(request.query)));
    if (shown === null || shown.isAwaited) return reply.code(204).send();
    return sendPage(reply, fragmentHtml(<RunPieces shown={shown} />));
  });

  app.post(paths.heatMeasured(":id"), { schema: { hide: true } }, async (request, reply) => {
    const attempt = attemptNamed(journal, idOf(request, "attempt"), "attempt");
    const said = read(measuredSaid, typedIn(request.body), "What counts");
    const figures = await figuresOf(context, attempt);
    await journal.write(() => countAsSaid(attempt.id, said, figures, { journal, now: context.now() }));
    return reply.redirect(paths.heatRun(attempt.id), 303);
  });

  await registerLogPages(app, context);
}

const secondFields = ["loadStartS", "fromS", "toS", "viewFromS", "viewToS"] as const;

/** What cannot be read is refused beside its field, and the page answers as if it had not been asked. */
function askedTyped(typed: Typed): HeatPageQuestion {
  const channel = typed.channel?.trim() || "temperature";
  const read = secondFields.map((name) => quantityTyped(typed[name], { "": 1, s: 1, min: 60, h: 3600 }));
  const fields = Object.fromEntries(
    secondFields.flatMap((name, i) => {
      const value = read[i] ?? null;
      return value === null || (value >= 0 && value <= 1e8)
        ? []
        : [[name, "Seconds from the first row, like 180."]];
    }),
  );
  const [loadStartS, fromS, toS, viewFromS, viewToS] = read.map((value) => value ?? undefined);
  if (isBackward(fromS, toS)) fields.toS = "The end lies after the beginning.";
  if (isBackward(viewFromS, viewToS)) fields.viewToS = "The end lies after the beginning.";
  if (Object.keys(fields).length > 0)
    return {
      asked: { channel, loadStartS: undefined, fromS: undefined, toS: undefined },
      view: { fromS: undefined, toS: undefined },
      form: { typed, refused: { message: "That stretch cannot be read.", fields } },
    };
  return {
    asked: { channel, loadStartS, fromS, toS },
    view: { fromS: viewFromS, toS: viewToS },
    form: freshForm(typed),
  };
}

const isBackward = (from: number | undefined, to: number | undefined): boolean =>
  from !== undefined && to !== undefined && to <= from;

/** Short enough for a phone; older ones are a tap away. */
const listedAtOnce = 12;
/** So many of the newest runs are looked through for settings that several builds ran. */
const lookedThrough = 200;
const mostAlike = 5;

async function listShown(context: PageContext, request: FastifyRequest): Promise<HeatListShown> {
  const { journal } = context;
  const page = journal.traces.attempts.page({ limit: listedAtOnce, after: valueAsked(request, "after") });
  const { wanted, refused } = runsAsked(request);
  const chosen = wanted.length > 0;
  const groups = likeGroups(journal.traces.attempts.page({ limit: lookedThrough, after: null }).items);
  const attempts = chosen
    ? wanted.map((id) => attemptNamed(journal, id, "heat run"))
    : (groups[0] ?? []).slice(0, mostOverlaid);
  const builds = journal.builds.all();
  const as: OverlayAs = valueAsked(request, "as") === "temperature" ? "temperature" : "rise";
  return {
    page,
    names: {
      builds: new Map(builds.map(({ id, name }) => [id, name])),
      units: new Map(
        builds.flatMap(({ id }) => {
          const chip = unitsOfBuild(journal, id);
          return chip ? [[id, chip] as const] : [];
        }),
      ),
      loads: new Map(journal.workloads.all().map(({ id, name }) => [id, name])),
    },
    ...(await overlaidRuns(context, attempts)),
    wanted: attempts.map(({ id }) => id),
    chosen,
    alike: groups.filter((group) => group.length > 1).slice(0, mostAlike),
    as,
    refused,
  };
}

/** Ids with commas between, or the ticks of the form, or both. */
function runsAsked(request: FastifyRequest): { wanted: readonly string[]; refused: Refused | null } {
  const value = (request.query as Record<string, unknown>).runs;
  const all = (Array.isArray(value) ? value : [value ?? ""]).flatMap((some) => String(some).split(","));
  const wanted = [...new Set(all.map((id) => id.trim()).filter((id) => id !== ""))];
  if (wanted.some((id) => !isId(id))) throw missing("heat run");
  if (wanted.length <= mostOverlaid) return { wanted, refused: null };
  const tooMany = invalid(`At most ${mostOverlaid} runs are drawn at once; the first ${mostOverlaid} are.`);
  return { wanted: wanted.slice(0, mostOverlaid), refused: formAfter(tooMany, {}).refused };
}

function attemptNamed(journal: Journal, id: string, as: "attempt" | "heat run"): Attempt {
  const attempt = journal.attempts.find(id);
  if (!attempt) throw missing(as);
  return attempt;
}
