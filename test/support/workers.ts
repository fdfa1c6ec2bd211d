import { createHash } from "node:crypto";
import { existsSync, readdirSync, renameSync, rmSync, statSync } from "node:fs";
import path from "node:path";
import type { TestProject } from "vitest/node";
import { buildWorkers } from "../../server/bundler.ts";

declare module "vitest" {
  export interface ProvidedContext {
    /** The folder of the worker threads as the sources have them now, not as the last build left them. */
    workers: string;
  }
}

const root = path.resolve(import.meta.dirname, "../..");
const cache = path.join(root, "node_modules/.cache");

/** Every source with the moment it was written last: another print is another bundle. */
function printOfSources(): string {
  const print = createHash("sha256").update(root);
  const sources = readdirSync(path.join(root, "server"), { recursive: true, encoding: "utf8" }).sort();
  for (const source of [...sources.map((name) => path.join("server", name)), "package-lock.json"])
    print.update(`${source} ${statSync(path.join(root, source)).mtimeMs}`);
  return print.digest("hex").slice(0, 16);
}

/** Bundled once for what the sources are. Beside the packages, so that what stays outside a bundle is found from it. */
export default async function workersFromSource(project: TestProject): Promise<void> {
  const ours = `workers-${createHash("sha256").update(root).digest("hex").slice(0, 8)}`;
  const folder = path.join(cache, `${ours}-${printOfSources()}`);
  if (!existsSync(folder)) {
    await buildWorkers(`${folder}.${process.pid}`);
    if (!existsSync(folder)) renameSync(`${folder}.${process.pid}`, folder);
    forgetOlder(ours);
  }
  project.provide("workers", folder);
}

/** Another run may still use the bundles of a moment ago; those of yesterday nobody does. */
function forgetOlder(ours: string): void {
  for (const name of readdirSync(cache).filter((one) => one.startsWith(ours)))
    if (statSync(path.join(cache, name)).mtimeMs < Date.now() - 86_400_000)
      rmSync(path.join(cache, name), { recursive: true, force: true });
}
