import { spawn } from "node:child_process";
import {
  cpSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { brotliCompressSync, constants, gzipSync } from "node:zlib";
import { type BuildOptions, build, type Metafile } from "esbuild";

const root = join(import.meta.dirname, "..");
const from = (...parts: string[]): string => join(root, ...parts);
const dist = from("dist");
const stamp = join(dist, "built");

const newestIn = (path: string): number => {
  const stat = statSync(path, { throwIfNoEntry: false });
  if (!stat) return 0;
  if (!stat.isDirectory()) return stat.mtimeMs;
  return readdirSync(path).reduce(
    (newest, name) => Math.max(newest, newestIn(join(path, name))),
    stat.mtimeMs,
  );
};

/** Folders count too: a file taken away touches only its folder. */
const isBuilt = (): boolean => {
  const built = statSync(stamp, { throwIfNoEntry: false })?.mtimeMs ?? 0;
  return ["server", "web", "package-lock.json", "package.json", "tsconfig.json"].every(
    (source) => newestIn(from(source)) < built,
  );
};

const shared: BuildOptions = {
  bundle: true,
  jsx: "automatic",
  jsxImportSource: "preact",
  logLevel: "warning",
  absWorkingDir: root,
};

/**
 * One file that needs nothing looked up, so that it starts fast. Only what is machine code stays outside. Names are
 * shortened too, which is a tenth of the start: there is less to read, and V8's code cache is smaller.
 */
const serverOptions: BuildOptions = {
  ...shared,
  platform: "node",
  target: "node20",
  format: "cjs",
  // By this the driver would search for its machine code, which is named to it (store/file/driver.ts).
  external: ["bindings"],
  define: { "import.meta.url": "moduleUrl", "import.meta.dirname": "__dirname" },
  banner: { js: 'const moduleUrl = require("node:url").pathToFileURL(__filename).href;' },
  minify: true,
};

/**
 * Runs the bundle from V8's code cache, and writes the cache when it is missing or from another Node. It is written in
 * the older module form, beside a package.json that says so: the newer one brings a loader that costs a tenth of the start.
 */
const launcher = `#!/usr/bin/env node
const { readFileSync, renameSync, writeFileSync } = require("node:fs");
const vm = require("node:vm");

if (process.argv[2] === "attend") return require("./attend.cjs");
const file = require.resolve("./bundle.cjs");
const cacheFile = file.replace(/cjs$/, "cache");
const read = (path) => {
  try {
    return readFileSync(path);
  } catch {
    return undefined;
  }
};
const cachedData = read(cacheFile);
const script = new vm.Script(readFileSync(file, "latin1"), {
  filename: file,
  cachedData,
  importModuleDynamically: vm.constants.USE_MAIN_CONTEXT_DEFAULT_LOADER,
});
if (!cachedData || script.cachedDataRejected) {
  process.on("exit", () => {
    try {
      writeFileSync(\`\${cacheFile}.\${process.pid}\`, script.createCachedData());
      renameSync(\`\${cacheFile}.\${process.pid}\`, cacheFile);
    } catch {
      // A folder that cannot be written costs a slower start, nothing else.
    }
  });
}
script.runInThisContext()(exports, require, module, file, __dirname);
`;

const workerEntries = (): readonly string[] =>
  readdirSync(from("server", "workers"))
    .filter((name) => name.endsWith(".ts"))
    .map((name) => from("server", "workers", name));

/** As one function for the launcher to call; a hashbang is for the launcher alone. */
const wrapped = (text: string): string =>
  `(function (exports, require, module, __filename, __dirname) {${text.replace(/^#!.*/, "")}\n})`;

/** The launcher reads single bytes. Strings are escaped by the bundler already; patterns and comments are not. */
const plainText = (code: string): string =>
  code.replace(/[\u0080-\uffff]/g, (sign) => `\\u${sign.charCodeAt(0).toString(16).padStart(4, "0")}`);

const buildServer = async (): Promise<void> => {
  const { outputFiles } = await build({
    ...serverOptions,
    entryPoints: [from("server/main.ts")],
    write: false,
  });
  mkdirSync(join(dist, "server"));
  writeFileSync(join(dist, "server/bundle.cjs"), wrapped(plainText(outputFiles?.[0]?.text ?? "")));
  writeFileSync(join(dist, "server/package.json"), '{ "type": "commonjs" }\n');
  writeFileSync(join(dist, "server/main.js"), launcher, { mode: 0o755 });
  await Promise.all([
    buildAttendant(join(dist, "server/attend.cjs")),
    buildWorkers(join(dist, "server/workers")),
  ]);
};

/** One file that runs where Node alone is: no journal, nothing that is machine code. */
const buildAttendant = (outfile: string) =>
  build({
    ...serverOptions,
    entryPoints: [from("server/attendant.ts")],
    outfile,
    banner: { js: "#!/usr/bin/env node" },
    define: {},
  });

/** The entry files of worker threads, each whole in one file. */
export const buildWorkers = (outdir: string) =>
  build({
    ...serverOptions,
    entryPoints: [...workerEntries()],
    outdir,
    outExtension: { ".js": ".cjs" },
  });

const webOptions: BuildOptions = {
  ...shared,
  platform: "browser",
  target: ["es2022", "chrome110", "firefox115", "safari16.4"],
  minify: true,
  metafile: true,
};

const outputOf = (metafile: Metafile, entry: string): string => {
  const found = Object.entries(metafile.outputs).find(([, output]) => output.entryPoint === entry);
  if (!found) throw new Error(`${entry} was not built.`);
  return basename(found[0]);
};

/** Addresses carry a hash or a version, so that a browser may keep what it has for good. */
const buildWeb = async (): Promise<void> => {
  const outdir = join(dist, "web");
  const ticking = await build({
    ...webOptions,
    entryPoints: [from("web/controls/tickWorker.ts")],
    outdir,
    entryNames: "[name]-[hash]",
  });
  const tickWorker = outputOf(ticking.metafile as Metafile, "web/controls/tickWorker.ts");
  const scripts = await build({
    ...webOptions,
    entryPoints: [from("web/start.ts"), from("web/swapping.ts")],
    format: "esm",
    splitting: true,
    outdir,
    entryNames: "[name]-[hash]",
    chunkNames: "[name]-[hash]",
    define: { tickWorkerFile: JSON.stringify(`./${tickWorker}`) },
  });
  const styles = await build({
    ...webOptions,
    entryPoints: ["notebook", "bench", "account"].map((name) => from(`web/styles/${name}.css`)),
    outdir,
    entryNames: "[name]-[hash]",
  });
  const { version } = JSON.parse(readFileSync(from("node_modules/htmx.org/package.json"), "utf8")) as {
    version: string;
  };
  const swaps = `htmx-${version}.js`;
  cpSync(from("node_modules/htmx.org/dist/htmx.min.js"), join(outdir, swaps));
  const manifest = {
    swaps,
    stylesheet: outputOf(styles.metafile as Metafile, "web/styles/notebook.css"),
    benchStyles: outputOf(styles.metafile as Metafile, "web/styles/bench.css"),
    accountStyles: outputOf(styles.metafile as Metafile, "web/styles/account.css"),
    script: outputOf(scripts.metafile as Metafile, "web/start.ts"),
    swapping: outputOf(scripts.metafile as Metafile, "web/swapping.ts"),
  };
  writeFileSync(join(outdir, "manifest.json"), JSON.stringify(manifest, null, 2));
  compressIn(outdir);
};

/** Compressed once, as hard as it goes, instead of at every request. */
const compressIn = (folder: string): void => {
  for (const name of readdirSync(folder).filter((file) => /\.(js|css)$/.test(file))) {
    const content = readFileSync(join(folder, name));
    writeFileSync(join(folder, `${name}.gz`), gzipSync(content, { level: 9 }));
    const params = {
      [constants.BROTLI_PARAM_QUALITY]: 11,
      [constants.BROTLI_PARAM_SIZE_HINT]: content.length,
    };
    writeFileSync(join(folder, `${name}.br`), brotliCompressSync(content, { params }));
  }
};

/** A first start and stop leaves the code cache behind. Without it all still works, only slower to start. */
const warm = (): Promise<void> => {
  const folder = mkdtempSync(join(tmpdir(), "rungbook-"));
  const journal = join(folder, "warm.db");
  const server = spawn(
    process.execPath,
    [join(dist, "server/main.js"), "--journal", journal, "--port", "0"],
    {
      stdio: ["ignore", "pipe", "ignore"],
    },
  );
  const giveUp = setTimeout(() => server.kill("SIGKILL"), 20_000);
  server.stdout.once("data", () => server.kill("SIGTERM"));
  return new Promise((done) =>
    server.once("close", () => {
      clearTimeout(giveUp);
      rmSync(folder, { recursive: true, force: true });
      done();
    }),
  );
};

if (process.argv[1] === import.meta.filename && !isBuilt()) {
  const startedAt = Date.now();
  rmSync(dist, { recursive: true, force: true });
  mkdirSync(dist);
  await Promise.all([buildServer(), buildWeb()]);
  writeFileSync(stamp, "");
  await warm();
  console.error(`Built in ${((Date.now() - startedAt) / 1000).toFixed(1)} s`);
}
