import type { Channel } from "../bench/logs/channel.ts";
import { type PackedTrace, rowsPerTraceChunk, TracePacker } from "../store/traces/tracePacking.ts";
import type { TraceRow } from "./simulatedTrace.ts";

const channels: readonly (Channel & { of: keyof TraceRow })[] = [
  { channel: "temperature", unit: "°C", of: "tempC" },
  { channel: "supply", unit: "°C", of: "supplyC" },
  { channel: "ambient", unit: "°C", of: "ambientC" },
  { channel: "power", unit: "W", of: "powerW" },
  { channel: "voltage", unit: "mV", of: "voltageMv" },
  { channel: "clock", unit: "MHz", of: "clockMhz" },
  { channel: "fan", unit: "rpm", of: "fanRpm" },
  { channel: "load", unit: "%", of: "load" },
];

/** A simulated trace as the journal keeps one. */
export function packedTrace(rows: readonly TraceRow[]): PackedTrace {
  const packer = new TracePacker(channels.map(({ channel, unit }) => ({ channel, unit })));
  for (let from = 0; from < rows.length; from += rowsPerTraceChunk) {
    const some = rows.slice(from, from + rowsPerTraceChunk);
    packer.add(
      some.length,
      Float64Array.from(some, ({ timeS }) => timeS),
      channels.map(({ of }) => Float64Array.from(some, (row) => row[of])),
    );
  }
  return packer.finish();
}
