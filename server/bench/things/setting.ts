/** A clock at a voltage. */
export type Setting = Readonly<{ clockMhz: number; voltageMv: number }>;
