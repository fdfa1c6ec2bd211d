import { existsSync, readFileSync } from "node:fs";
import path from "node:path";
import fastifyStatic from "@fastify/static";
import type { FastifyInstance } from "fastify";
import type { Assets } from "../html/document.tsx";

/** Where the built web files lie. */
export type AssetFolders = Readonly<{ web: string }>;

type Manifest = Readonly<Record<keyof Assets, string>>;

/** Names carry a hash or a version, so a browser may keep what it has; what is sent was compressed at the build. */
export async function registerAssets(app: FastifyInstance, { web }: AssetFolders): Promise<void> {
  await app.register(fastifyStatic, {
    root: web,
    prefix: "/web/",
    index: false,
    immutable: true,
    maxAge: "365d",
    preCompressed: true,
  });
}

/** What every page links, with the versions of this build in the names. */
export function assetsIn({ web }: AssetFolders): Assets {
  const manifestFile = path.join(web, "manifest.json");
  if (!existsSync(manifestFile)) throw new Error("The web files are not built yet: npm run build.");
  const manifest = JSON.parse(readFileSync(manifestFile, "utf8")) as Manifest;
  return {
    stylesheet: `/web/${manifest.stylesheet}`,
    benchStyles: `/web/${manifest.benchStyles}`,
    accountStyles: `/web/${manifest.accountStyles}`,
    script: `/web/${manifest.script}`,
    swaps: `/web/${manifest.swaps}`,
    swapping: `/web/${manifest.swapping}`,
  };
}
