import { existsSync, readFileSync } from "node:fs";
import path from "node:path";
import fastifyStatic from "@fastify/static";
import type { FastifyInstance } from "fastify";
import type { Assets } from "../html/document.tsx";

/** Where the built web files and the libraries served as they are lie. */
export type AssetFolders = Readonly<{ web: string; modules: string }>;

type Manifest = Readonly<{ script: string; stylesheet: string }>;

/** The libraries that pages load as they are published, each under an address that carries its version. */
const vendors = [
  { name: "htmx", module: "htmx.org", file: "dist/htmx.min.js" },
  { name: "uplot", module: "uplot", file: "dist/uPlot.esm.js" },
] as const;

export async function registerAssets(app: FastifyInstance, folders: AssetFolders): Promise<void> {
  const kept = { immutable: true, maxAge: "365d", index: false } as const;
  await app.register(fastifyStatic, { root: folders.web, prefix: "/web/", ...kept });
  for (const vendor of vendors)
    await app.register(fastifyStatic, {
      root: path.join(folders.modules, vendor.module, path.dirname(vendor.file)),
      prefix: `${vendorPath(vendor, folders)}/`,
      decorateReply: false,
      ...kept,
    });
}

/** What every page links, with the versions of this build in the names. */
export function assetsIn(folders: AssetFolders): Assets {
  const manifestFile = path.join(folders.web, "manifest.json");
  if (!existsSync(manifestFile)) throw new Error("The web files are not built yet: npm run build.");
  const manifest = JSON.parse(readFileSync(manifestFile, "utf8")) as Manifest;
  return {
    stylesheet: `/web/${manifest.stylesheet}`,
    script: `/web/${manifest.script}`,
    swaps: `${vendorPath(vendors[0], folders)}/${path.basename(vendors[0].file)}`,
  };
}

function vendorPath(vendor: (typeof vendors)[number], folders: AssetFolders): string {
  const about = path.join(folders.modules, vendor.module, "package.json");
  const { version } = JSON.parse(readFileSync(about, "utf8")) as { version: string };
  return `/vendor/${vendor.name}-${version}`;
}
