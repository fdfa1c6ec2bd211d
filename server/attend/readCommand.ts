import { spawn } from "node:child_process";
import { type NamedValue, namedValuesIn, readingOfNamed } from "./namedReadings.ts";
import { type MachineReader, nothingRead } from "./reading.ts";

/** Older than that a value is none: the program has stopped saying it. */
const freshS = 3;

/** Readings of the tester's own program, which prints `name=value unit` lines once a second for as long as it runs. */
export function readCommand(
  command: string,
  nowS: () => number,
  complain: (words: string) => void,
): MachineReader {
  const latest = new Map<string, Readonly<{ atS: number; value: NamedValue }>>();
  const child = spawn(command, { shell: true, stdio: ["ignore", "pipe", "ignore"] });
  let unfinished = "";
  child.stdout.setEncoding("utf8").on("data", (text: string) => {
    const lines = (unfinished + text).split(/\r?\n/);
    unfinished = (lines.pop() ?? "").slice(-1000);
    for (const value of namedValuesIn(lines.join("\n"))) latest.set(value.name, { atS: nowS(), value });
  });
  child.on("error", (error) => complain(`"${command}" cannot be run: ${error.message}`));
  child.on("exit", (code) =>
    complain(`"${command}" has ended (${code ?? "by a signal"}); nothing is read any more.`),
  );
  child.unref();
  return {
    canRead: [`what "${command}" prints`],
    cannotRead: [],
    read: () => {
      const fresh = [...latest.values()].filter(({ atS }) => nowS() - atS <= freshS);
      return fresh.length === 0 ? nothingRead : readingOfNamed(fresh.map(({ value }) => value));
    },
  };
}
