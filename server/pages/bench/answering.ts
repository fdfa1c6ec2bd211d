import type { FastifyReply } from "fastify";
import type { PageContext } from "../kit/context.ts";
import { freshForm } from "../kit/forms.ts";
import { sendPage } from "../kit/sendPage.ts";
import { adviceSoon, patienceOfEvening } from "./advised.ts";
import { isBooted } from "./attendedShown.ts";
import { beginningPage } from "./beginningView.tsx";
import { carriedByAttendant } from "./carried.ts";
import { type BenchQuestion, benchShown, type Shown } from "./shown.ts";
import { toSetNext } from "./toSet.ts";
import { benchPage } from "./view.tsx";

/** Between two runs of an evening what the page proposes is set in firmware: its attendant is told what that was. */
function noteShown(
  { attendants, inventMachine }: PageContext,
  { attended, trying, shown, now }: Shown,
): void {
  // An invented machine is set by this page before it attends.
  const isAwaited =
    attended.attendant === null ? inventMachine !== undefined : attended.attendant.evening === true;
  if (!isAwaited || trying === null || isBooted(attended)) return;
  const toSet = toSetNext(trying, shown.chip);
  if (toSet === null) return;
  const besides = carriedByAttendant(attended.last, now);
  attendants.show(attended.buildId, toSet.proposal && { ...toSet.proposal, besides });
}

/** The bench as it stands, or the form that begins a journal. */
export async function benchAnswer(
  context: PageContext,
  reply: FastifyReply,
  asked: BenchQuestion,
  status = 200,
): Promise<FastifyReply> {
  const plain = benchShown(context, asked);
  if (plain === null) return sendPage(reply, beginningPage(context, freshForm()), status);
  const patience = plain.attended.attendant?.evening === true ? patienceOfEvening : undefined;
  const advice = plain.trying && (await adviceSoon(context, plain.trying.asked, patience));
  const shown = advice === null ? plain : (benchShown(context, asked, advice) ?? plain);
  noteShown(context, shown);
  return sendPage(reply, benchPage(context, shown), shown.trying?.voltagesRefused ? 422 : status);
}
