import { parentPort } from "node:worker_threads";
import {
  type FitAnswers,
  type FitKind,
  type FitQuestions,
  fitAnswerOf,
} from "../bench/best/limitQuestions.ts";
import { faultWords } from "./inbox/faultTold.ts";

export type FitRequest = {
  [Kind in FitKind]: Readonly<{ id: number; kind: Kind; request: FitQuestions[Kind] }>;
}[FitKind];

export type FitReply =
  | Readonly<{ id: number; answer: FitAnswers[FitKind] }>
  | Readonly<{ id: number; fault: string }>;

parentPort?.on("message", ({ id, kind, request }: FitRequest) =>
  parentPort?.postMessage(replyTo(id, kind, request)),
);

function replyTo<Kind extends FitKind>(id: number, kind: Kind, request: FitQuestions[Kind]): FitReply {
  try {
    return { id, answer: fitAnswerOf(kind, request) };
  } catch (fault) {
    return { id, fault: faultWords(fault) };
  }
}
