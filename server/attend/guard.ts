import { spawn } from "node:child_process";

/** Ends a group of processes when the attendant dies, or says nothing for a while. */
export type Guard = Readonly<{
  /** The group has ended; there is nothing left to guard. */
  done(): void;
}>;

const beatEveryMs = 5000;
const patienceS = 20;

/**
 * Waits for a line at a time. None in time, or the end of the pipe, and the group is asked to end, and killed ten
 * seconds later. It is the shell, so that guarding costs no memory to speak of.
 */
const watch = `
while line=$(timeout ${patienceS} sh -c 'IFS= read -r line && echo "$line"'); do
  [ "$line" = done ] && exit 0
done
kill -TERM -- "-$1" 2>/dev/null || exit 0
left=10
while [ "$left" -gt 0 ] && kill -0 -- "-$1" 2>/dev/null; do sleep 1; left=$((left - 1)); done
kill -KILL -- "-$1" 2>/dev/null
`;

export function guardOf(group: number): Guard {
  if (process.platform === "win32") return { done: () => undefined };
  const shell = spawn("sh", ["-c", watch, "guard", String(group)], {
    // A session of its own: what ends the attendant's group does not end the guard.
    detached: true,
    stdio: ["pipe", "ignore", "ignore"],
  });
  const pipe = shell.stdin;
  pipe.on("error", () => undefined);
  shell.on("error", () => undefined);
  shell.unref();
  const beat = setInterval(() => pipe.write("beat\n"), beatEveryMs);
  beat.unref();
  return {
    done: () => {
      clearInterval(beat);
      if (pipe.writable) pipe.end("done\n");
    },
  };
}
