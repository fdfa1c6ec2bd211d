import { paths } from "../paths.ts";
import { questionOf } from "./otherwise.tsx";
import type { Trying } from "./shown.ts";

/** Kept for what the fit says, where the page came before it; of the answer alone nothing shows here. */
export const Late = ({ trying }: { trying: Trying }) => {
  const { awaited } = trying;
  if (awaited === null) return null;
  const address = paths.advice(questionOf(trying, { late: awaited }));
  return awaited === "answer" ? (
    <span hidden data-later={address} />
  ) : (
    <p class="late" data-later={address}>
      Weighing the whole record…
    </p>
  );
};
