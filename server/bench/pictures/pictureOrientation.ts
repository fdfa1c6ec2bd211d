const orientationTag = 0x0112;

/** The turn written in a TIFF block (TIFF 6.0, as Exif 2.3 takes it over); 1, upright, where it says none. */
export function orientationIn(tiff: Uint8Array): number {
  if (tiff.length < 8) return 1;
  const view = new DataView(tiff.buffer, tiff.byteOffset, tiff.byteLength);
  const order = view.getUint16(0);
  if (order !== 0x4949 && order !== 0x4d4d) return 1;
  const isLittle = order === 0x4949;
  const start = view.getUint32(4, isLittle);
  if (start + 2 > tiff.length) return 1;
  const entries = view.getUint16(start, isLittle);
  for (let i = 0; i < entries; i++) {
    const at = start + 2 + 12 * i;
    if (at + 12 > tiff.length) return 1;
    if (view.getUint16(at, isLittle) !== orientationTag) continue;
    const turn = view.getUint16(at + 8, isLittle);
    return turn >= 1 && turn <= 8 ? turn : 1;
  }
  return 1;
}

/** The shortest TIFF block that says which way up a picture is held, and nothing else. */
export const orientationBlock = (orientation: number): Uint8Array =>
  Uint8Array.of(
    ...[0x4d, 0x4d, 0, 42, 0, 0, 0, 8], // big end first, the one directory at 8
    ...[0, 1, 1, 0x12, 0, 3, 0, 0, 0, 1, 0, orientation, 0, 0], // one entry: the turn, one short
    ...[0, 0, 0, 0], // no further directory
  );
