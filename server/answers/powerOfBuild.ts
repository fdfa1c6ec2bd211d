import { type PowerAccount, powerAccountOf } from "../bench/power/powerAccount.ts";
import type { TaggedRun } from "../bench/runs/runRow.ts";
import type { Board } from "../bench/things/board.ts";
import { missing } from "../bench/things/refusal.ts";
import type { Journal } from "../store/file/journal.ts";
import { type BuildAtHand, buildAsked } from "./buildAsked.ts";

export type PowerOfBuild = Readonly<{
  asked: BuildAtHand;
  board: Board;
  account: PowerAccount;
  /** The runs it rests on, oldest first. */
  runs: readonly TaggedRun[];
}>;

const statedOf = ({ supplyEfficiencyPct }: BuildAtHand["build"]): number | null =>
  supplyEfficiencyPct === null ? null : supplyEfficiencyPct / 100;

/** What a build draws, loses on the way and gives for it, under the load asked for or the best read one. */
export function powerOfBuild(
  journal: Journal,
  question: Readonly<{
    buildId: string;
    workloadId?: string | null | undefined;
    /** Of the machine's supply, 0.5 to 1; else as stated with the build; readings at the wall are kept as read where neither is. */
    supplyEfficiency?: number | null | undefined;
  }>,
): PowerOfBuild {
  const asked = buildAsked(journal, question);
  const board = journal.boards.find(asked.build.boardId);
  if (!board) throw missing("board");
  const runs = journal.attempts.taggedRunsOf(asked.build.id);
  const account = powerAccountOf(
    runs,
    asked.workloads,
    board,
    asked.workload?.id ?? null,
    question.supplyEfficiency ?? statedOf(asked.build),
    asked.chip,
  );
  return { asked, board, account, runs };
}
