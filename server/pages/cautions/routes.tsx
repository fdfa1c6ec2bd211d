import type { FastifyInstance } from "fastify";
import { Document, pageHtml } from "../../html/document.tsx";
import { Answer, Entry } from "../../html/entry.tsx";
import type { PageContext } from "../kit/context.ts";
import { sendPage } from "../kit/sendPage.ts";
import { paths } from "../paths.ts";
import { frameOf } from "../siteMap.ts";

export function registerCautionsPage(app: FastifyInstance, context: PageContext): void {
  app.get(paths.cautions(), (_, reply) =>
    sendPage(
      reply,
      pageHtml(
        <Document title="Cautions" frame={frameOf(context, null)}>
          <Entry>
            <Answer heading="What can go wrong on a bench">
              The decisions are yours, and so is the hardware. This journal never applies a setting; what it
              says rests on what was written into it.
            </Answer>
          </Entry>
          {cautions.map(({ heading, words }) => (
            <Entry key={heading}>
              <h2>{heading}</h2>
              <p class="prose">{words}</p>
            </Entry>
          ))}
        </Document>,
      ),
    ),
  );
}

const cautions = [
  {
    heading: "The chip and the board",
    words:
      "Raised voltage and heat shorten the life of a chip and of the board's supply, sometimes at once, and running beyond a maker's limits may void the warranty. Go up in small steps, keep to the ceiling you set while your head was cool, and watch the first minutes of each new setting.",
  },
  {
    heading: "Your data",
    words:
      "An unstable machine can write wrong data without a sign of it. Back up what matters before unstable runs, keep it off the machine under test, and do not trust files written by a setting that later failed. The journal can be backed up from its own page.",
  },
  {
    heading: "Mains and power supplies",
    words:
      "Never open a power supply: it holds a dangerous charge long after it is unplugged. Anything on the mains side belongs to qualified people working under local rules. Switch off and unplug before you touch a cooler, a cable or a board.",
  },
  {
    heading: "Heat, liquids and cold",
    words:
      "Coolers, supply stages and freshly stopped chips can burn. Liquid near live parts, and the condensation that cold cooling brings, can do harm to them and to you. Liquid nitrogen needs ventilation, protection and training; follow local rules for it.",
  },
  {
    heading: "Long runs",
    words:
      "A machine under full load is better not left alone near anything that burns. Before an unattended run, see that its protections work, that air can move, and that somebody would notice.",
  },
  {
    heading: "Hearing",
    words:
      "Long exposure above 85 dB(A) follows local occupational rules; wear protection, or stand further off. The readings here tell one fan setting from another; they are no assessment of a workplace.",
  },
  {
    heading: "What the figures mean",
    words:
      "A setting that has held so far has held so far. Every answer says on how many runs and how many hours it rests; where lives, money or other people's work hang on a machine, run it as its maker intends.",
  },
] as const;
