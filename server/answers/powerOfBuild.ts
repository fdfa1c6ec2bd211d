import { type PowerAccount, powerAccountOf } from "../bench/power/powerAccount.ts";
import type { RunRow } from "../bench/runs/runRow.ts";
import type { Board } from "../bench/things/board.ts";
import { missing } from "../bench/things/refusal.ts";
import type { Journal } from "../store/file/journal.ts";
import { type BuildAsked, buildAsked } from "./buildAsked.ts";

export type PowerOfBuild = Readonly<{
  asked: BuildAsked;
  board: Board;
  account: PowerAccount;
  /** The runs it rests on, oldest first. */
  runs: readonly RunRow[];
}>;

/** What a build draws, loses on the way and gives for it, under the load asked for or the best read one. */
export function powerOfBuild(
  journal: Journal,
  question: Readonly<{ buildId: string; workloadId?: string | null | undefined }>,
): PowerOfBuild {
  const asked = buildAsked(journal, question);
  const board = journal.boards.find(asked.build.boardId);
  if (!board) throw missing("board");
  const runs = journal.attempts.runsOf(asked.build.id);
  const account = powerAccountOf(runs, asked.workloads, board, asked.workload?.id ?? null);
  return { asked, board, account, runs };
}
