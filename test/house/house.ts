/** Draws the house: every room on its floor, how many files and lines it holds, and what it asks. */
import { readFileSync } from "node:fs";
import { files, roomOf } from "./imports.ts";
import { asked, floorOf, mayImport } from "./rooms.ts";

const linesIn = (file: string): number => readFileSync(file, "utf8").split("\n").length - 1;

const drawn = Object.keys(mayImport).map((room) => {
  const own = files.filter((file) => roomOf(file) === room);
  const asks = [...(asked.get(room) ?? [])].sort();
  return {
    room,
    floor: floorOf(room),
    files: own.length,
    lines: own.reduce((sum, file) => sum + linesIn(file), 0),
    asks,
  };
});

for (const { floor, room, files: count, lines, asks } of drawn.sort((a, b) => b.floor - a.floor)) {
  const holds = `${count} files, ${lines} lines`;
  console.log(`${String(floor).padStart(2)}  ${room.padEnd(18)} ${holds.padEnd(24)} ${asks.join(" ")}`);
}
console.log(
  `${drawn.length} rooms, ${drawn.reduce((sum, { asks }) => sum + asks.length, 0)} arrows, none upward where test/architecture.test.ts passes`,
);
