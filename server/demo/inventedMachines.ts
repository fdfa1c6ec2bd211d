import type { Transport } from "../attend/transport.ts";
import { seededRandom } from "../numerics/seededRandom.ts";
import { attendingEvening } from "./attendingEvening.ts";
import { demoBenches } from "./demoBenches.ts";
import type { SimulatedBench, SimulatedSetting } from "./simulatedBench.ts";

export type InventedMachinesOf = Readonly<{
  send: Transport;
  /** Seconds of whoever looks on. */
  nowS(): number;
  /** What the page last told somebody to set; null where it told nothing. */
  shown(buildId: string): SimulatedSetting | null;
  buildOf(buildId: string): Readonly<{ name: string; stock: SimulatedSetting }> | null;
}>;

/** Machines of the demo that attend builds once they are let; none of them exists. */
export type InventedMachines = Readonly<{
  attend(buildId: string): void;
  /** To be called some times a second. */
  tick(): void;
}>;

/** A minute of such a machine's passes each second. */
const speed = 60;

const benchNamed: Readonly<Record<string, SimulatedBench>> = {
  "Open frame, Quay L": demoBenches.frameL,
  "Open frame, Quay S": demoBenches.frameS,
  "Cupboard, Quay L": demoBenches.cupboardL,
  "Cupboard, Quay S": demoBenches.cupboardS,
};

export function inventedMachines(of: InventedMachinesOf): InventedMachines {
  const evenings = new Map<string, ReturnType<typeof attendingEvening>>();

  /** By what the page says; before it has said anything, by what would be proposed. */
  async function proposed(buildId: string): Promise<SimulatedSetting | null> {
    const shown = of.shown(buildId);
    if (shown !== null) return shown;
    const { body } = await of.send({ method: "GET", path: `/api/builds/${buildId}/next` });
    return typeof body?.clockMhz === "number" && typeof body.voltageMv === "number" ? body : null;
  }

  return {
    attend: (buildId) => {
      const build = of.buildOf(buildId);
      if (build === null || evenings.has(buildId)) return;
      const evening = attendingEvening({
        bench: benchNamed[build.name] ?? demoBenches.frameL,
        stock: build.stock,
        random: seededRandom(4780 + evenings.size),
        nowS: () => speed * of.nowS(),
        name: `invented-${evenings.size + 1}`,
        buildId,
        send: of.send,
        hands: () => proposed(buildId),
      });
      evenings.set(buildId, evening);
    },
    tick: () => {
      for (const evening of evenings.values()) void evening.tick();
    },
  };
}
