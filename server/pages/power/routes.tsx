import type { FastifyInstance, FastifyRequest } from "fastify";
import { type PowerOfBuild, powerOfBuild } from "../../answers/powerOfBuild.ts";
import { keptRunning } from "../../bench/runs/electricalRun.ts";
import { pageHtml } from "../../html/document.tsx";
import { formatMilli, formatNumber } from "../../html/format.ts";
import { idOf } from "../../requests/reading.ts";
import { idAsked, valueAsked } from "../kit/addressed.ts";
import { lookOf } from "../kit/buildLooks.ts";
import type { PageContext } from "../kit/context.ts";
import type { Typed } from "../kit/forms.ts";
import { quantityTyped } from "../kit/quantityTyped.ts";
import { sendPage } from "../kit/sendPage.ts";
import { frameOf } from "../siteMap.ts";
import { PowerPage, type PowerShown } from "./view.tsx";

export function registerPowerPage(app: FastifyInstance, context: PageContext): void {
  app.get("/builds/:id/power", { schema: { hide: true } }, (request, reply) => {
    const buildId = idOf(request, "build");
    const workloadId = idAsked(request, "workload", "workload");
    const supply = supplyTyped(valueAsked(request, "supply"));
    const supplyEfficiency = supply.share;
    const answer = powerOfBuild(context.journal, { buildId, workloadId, supplyEfficiency });
    const isWearAsked = valueAsked(request, "wear") !== null;
    const wear = isWearAsked ? wearIn(request) : wearBegun(answer);
    const look = lookOf(context.journal.builds.all(), buildId);
    const shown: PowerShown = { answer, look, wear, isWearAsked, supply };
    return sendPage(reply, pageHtml(<PowerPage frame={frameOf(context, "builds")} shown={shown} />));
  });
}

/** A supply's efficiency in per cent, as typed, and the share it comes to; null where none is stated or it cannot be read. */
function supplyTyped(typed: string | null): PowerShown["supply"] {
  if (typed === null || typed.trim() === "") return { typed: undefined, share: null, refusal: null };
  const percent = quantityTyped(typed, { "": 1, "%": 1 });
  return percent !== null && percent >= 50 && percent <= 100
    ? { typed, share: percent / 100, refusal: null }
    : { typed, share: null, refusal: "An efficiency from 50 to 100 %." };
}

const wearIn = (request: FastifyRequest): Typed =>
  Object.fromEntries(
    ["fromMv", "fromC", "toMv", "toC"].map((name) => [name, valueAsked(request, name) ?? undefined]),
  );

/** Begins with the gentlest and the harshest voltage that ran with a temperature read. */
function wearBegun({ runs, asked }: PowerOfBuild): Typed {
  const read = runs
    .filter((run) => keptRunning(run) && asked.workloads.get(run.workloadId)?.kind !== "idle")
    .flatMap(({ loadVoltageMv, voltageMv, loadTempC: tempC }) => {
      const arrivedMv = loadVoltageMv ?? voltageMv;
      return arrivedMv === null || tempC === null ? [] : [{ arrivedMv, tempC }];
    })
    .sort((first, second) => first.arrivedMv - second.arrivedMv);
  const [from, to] = [read[0], read.at(-1)];
  const written = (run: (typeof read)[number] | undefined) => ({
    mv: run && formatMilli(run.arrivedMv),
    c: run && formatNumber(run.tempC, 0),
  });
  const [gentle, harsh] = [written(from), written(to)];
  return { fromMv: gentle.mv, fromC: gentle.c, toMv: harsh.mv, toC: harsh.c };
}
