import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";

type Painter = typeof import("@resvg/resvg-wasm");

const fileOf = (name: string): Promise<Buffer> => readFile(createRequire(import.meta.url).resolve(name));

let started: Promise<Readonly<{ painter: Painter; fonts: readonly Uint8Array[] }>> | undefined;

/** Read when the first picture is asked for, and once: it is two megabytes and a tenth of a second. */
const start = async () => {
  const painter = await import("@resvg/resvg-wasm");
  await painter.initWasm(await fileOf("@resvg/resvg-wasm/index_bg.wasm"));
  const fonts = await Promise.all(
    ["DejaVuSansCondensed.ttf", "DejaVuSansCondensed-Bold.ttf"].map((name) =>
      fileOf(`dejavu-fonts-ttf/ttf/${name}`),
    ),
  );
  return { painter, fonts };
};

/** A standing SVG file as PNG, twice its size. Its letters come with the program: a machine may have none. */
export async function pngPicture(svg: string): Promise<Uint8Array> {
  started ??= start();
  const { painter, fonts } = await started;
  const image = new painter.Resvg(svg, {
    fitTo: { mode: "zoom", value: 2 },
    font: { fontBuffers: [...fonts], defaultFontFamily: "DejaVu Sans", sansSerifFamily: "DejaVu Sans" },
  });
  try {
    return image.render().asPng();
  } finally {
    image.free();
  }
}
