import { formatMilli, formatNumber } from "../../html/format.ts";
import { Quantity } from "../../html/quantity.tsx";

/** A clock and a voltage, each held together with its unit. */
export const Clock = ({ mhz }: { mhz: number }) => <Quantity value={formatNumber(mhz)} unit="MHz" />;
export const Voltage = ({ mv }: { mv: number }) => <Quantity value={formatMilli(mv)} unit="V" />;

export const Setting = ({ clockMhz, voltageMv }: { clockMhz: number; voltageMv: number }) => (
  <>
    <Clock mhz={clockMhz} /> at <Voltage mv={voltageMv} />
  </>
);

/** The same as plain text, for a label or a sentence. */
export const settingWords = ({ clockMhz, voltageMv }: { clockMhz: number; voltageMv: number }): string =>
  `${formatNumber(clockMhz)} MHz at ${formatMilli(voltageMv)} V`;
