/** The files of an archive whose entries are stored as they are (zip, APPNOTE 6.3). */
export function filesIn(archive: Buffer): Map<string, Buffer> {
  const files = new Map<string, Buffer>();
  for (let at = 0; archive.readUInt32LE(at) === 0x04034b50; ) {
    const size = archive.readUInt32LE(at + 18);
    const nameLength = archive.readUInt16LE(at + 26);
    const from = at + 30 + nameLength + archive.readUInt16LE(at + 28);
    files.set(
      archive.subarray(at + 30, at + 30 + nameLength).toString(),
      archive.subarray(from, from + size),
    );
    at = from + size;
  }
  return files;
}
