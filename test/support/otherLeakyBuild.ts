import type { SeededRandom } from "../../server/numerics/seededRandom.ts";
import type { PowerLaw } from "./powerLaws.ts";

const reference = { volts: 1.2, kelvin: 338.15 };

/**
 * A build that follows another law than the fit's: charge that grows a little faster than the voltage, leakage in two
 * parts (through the channel, by a power of the absolute temperature and exponential in the voltage; through the gate,
 * by a high power of the voltage alone), and a part of the chip that runs at a clock of its own.
 */
export function otherLeakyLaw(random: SeededRandom): PowerLaw {
  const switched = random.uniformIn(80, 125) / (1.2 ** 2 * 4600);
  const extra = random.uniformIn(0, 0.25);
  const leakW = random.uniformIn(10, 36);
  const gateShare = random.uniformIn(0.15, 0.5);
  const gatePower = random.uniformIn(3, 6);
  const perVolt = random.uniformIn(1.5, 3.5);
  const kelvinPower = random.uniformIn(2, 5);
  const asideW = random.uniformIn(0, 6);
  const resistanceCPerW = random.uniformIn(0.22, 0.38);
  const share = (volts: number): number => volts / reference.volts;
  const switchedAt = (volts: number): number => switched * share(volts) ** extra;
  const staticW = (volts: number, tempC: number): number => {
    const channel =
      share(volts) *
      Math.exp(perVolt * (volts - reference.volts)) *
      ((tempC + 273.15) / reference.kelvin) ** kelvinPower;
    const gate = share(volts) ** gatePower;
    return leakW * (gateShare * gate + (1 - gateShare) * channel) + asideW * share(volts) ** 2;
  };
  return {
    resistanceCPerW,
    switchedAt,
    staticW,
    powerW: ({ volts, clockMhz }, tempC) => switchedAt(volts) * volts ** 2 * clockMhz + staticW(volts, tempC),
  };
}
