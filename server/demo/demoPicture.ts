import { crc32, deflateSync } from "node:zlib";

type Rgb = readonly [red: number, green: number, blue: number];

const [wall, bench, fins, base, blade, frame]: readonly Rgb[] = [
  [226, 220, 205],
  [150, 120, 86],
  [176, 182, 188],
  [120, 84, 52],
  [58, 66, 78],
  [34, 38, 46],
] as const;

const [width, height] = [400, 300];

/** A tower on its board, seen from the side: fins on pipes over a plate, a fan on the left. */
function colourAt(x: number, y: number): Rgb {
  const fan = Math.hypot(x - 112, y - 120);
  if (x > 98 && x < 126 && y > 44 && y < 196) return fan < 12 || (y - 44) % 30 < 22 ? blade! : frame!;
  if (x > 134 && x < 262 && y > 44 && y < 196 && (y - 44) % 8 < 4) return fins!;
  if ([160, 190, 220].some((pipe) => x > pipe && x < pipe + 9) && y > 36 && y < 232) return base!;
  if (x > 146 && x < 246 && y > 226 && y < 244) return fins!;
  if (x > 40 && x < 360 && y > 244 && y < 256) return [46, 92, 70];
  return y > 256 ? bench! : wall!;
}

/** Drawn by rule, so that nobody takes it for a photograph. */
export function demoPicture(): Uint8Array {
  const lines = Buffer.alloc(height * (1 + 3 * width));
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++) lines.set(colourAt(x, y), y * (1 + 3 * width) + 1 + 3 * x);
  const header = Buffer.alloc(13);
  header.writeUInt32BE(width, 0);
  header.writeUInt32BE(height, 4);
  header.set([8, 2], 8); // eight bits each of red, green and blue
  const signature = Buffer.of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a);
  return Buffer.concat([
    signature,
    chunk("IHDR", header),
    chunk("IDAT", deflateSync(lines)),
    chunk("IEND", Buffer.alloc(0)),
  ]);
}

function chunk(name: string, body: Buffer): Buffer {
  const whole = Buffer.alloc(12 + body.length);
  whole.writeUInt32BE(body.length, 0);
  whole.write(name, 4, "latin1");
  body.copy(whole, 8);
  whole.writeUInt32BE(crc32(whole.subarray(4, -4)), whole.length - 4);
  return whole;
}
