import { mkdirSync, writeFileSync } from "node:fs";
import path from "node:path";
import { temporaryFolder } from "./bench.ts";

export type MadeDevices = Readonly<Record<string, Readonly<Record<string, string>>>>;

/** A made tree such as the kernel shows: a folder for each device, a file for each value. */
export function madeSensors(devices: MadeDevices, root = temporaryFolder()): string {
  for (const [device, files] of Object.entries(devices)) {
    mkdirSync(path.join(root, device), { recursive: true });
    for (const [name, text] of Object.entries(files))
      writeFileSync(path.join(root, device, name), `${text}\n`);
  }
  return root;
}
