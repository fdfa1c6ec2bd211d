import { rmSync } from "node:fs";
import path from "node:path";
import type { TestProject } from "vitest/node";
import { buildWorkers } from "../../server/bundler.ts";

declare module "vitest" {
  export interface ProvidedContext {
    /** The folder of the worker threads as the sources have them now, not as the last build left them. */
    workers: string;
  }
}

/** Bundled once, before the first test. Beside the packages, so that what stays outside a bundle is found from it. */
export default async function workersFromSource(project: TestProject): Promise<() => void> {
  const folder = path.resolve(import.meta.dirname, `../../node_modules/.cache/workers-${process.pid}`);
  await buildWorkers(folder);
  project.provide("workers", folder);
  return () => rmSync(folder, { recursive: true, force: true });
}
