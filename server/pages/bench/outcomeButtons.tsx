import { type Outcome, outcomeWords } from "../../bench/things/outcome.ts";
import { Button } from "../../html/act.tsx";
import { Fold } from "../../html/entry.tsx";
import { posts } from "./swaps.ts";

/** What can end a run, the commonest first, each with the key that says so. */
const faults: readonly (readonly [Outcome, string])[] = [
  ["freeze", "f"],
  ["restart", "r"],
  ["system-error", "s"],
  ["wrong-result", "w"],
  ["app-closed", "c"],
  ["driver-reset", "d"],
  ["no-start", "n"],
  ["fell-back", "k"],
  ["too-hot", "h"],
  ["power-cut", "u"],
  ["disturbed", "b"],
];

/** Rarer ways, one tap further away. */
const rarer: readonly Outcome[] = [
  "died",
  "artefacts",
  "slower",
  "load-stalled",
  "setting-lost",
  "too-cold",
  "supply-tripped",
];

const capital = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1);

type Props = Readonly<{ address: string; keys: boolean; scope: string }>;

export const FaultButtons = ({ address, keys, scope }: Props) => (
  <>
    {faults.map(([outcome, letter]) => (
      <Button
        key={outcome}
        name="outcome"
        value={outcome}
        {...(keys ? { letter } : {})}
        more={posts(address, `${scope}-${outcome}`)}
      >
        {capital(outcomeWords[outcome])}
      </Button>
    ))}
  </>
);

export const RarerFaults = ({ address, scope }: Omit<Props, "keys">) => (
  <Fold title="It ended in another way" keep={`rarer-${scope}`}>
    <div class="outcomes">
      {rarer.map((outcome) => (
        <Button key={outcome} name="outcome" value={outcome} more={posts(address, `${scope}-${outcome}`)}>
          {capital(outcomeWords[outcome])}
        </Button>
      ))}
    </div>
  </Fold>
);

/** First in its form and disabled: Enter in a field then ends nothing by accident. */
export const NothingOnEnter = () => <button type="submit" hidden disabled />;
