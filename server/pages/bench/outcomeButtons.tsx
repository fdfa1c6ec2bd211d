import type { Chip } from "../../bench/things/chip.ts";
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

/** Of these the rarer ones are common: a picture shows artefacts, and what software set gets lost. */
const commonOf = (chip: Chip | undefined): readonly Outcome[] => [
  ...(chip?.kind === "gpu" ? (["artefacts"] as const) : []),
  ...(chip?.appliedBy === "software" ? (["setting-lost"] as const) : []),
];

type Props = Readonly<{ address: string; keys: boolean; scope: string; chip?: Chip | undefined }>;
type OneProps = Readonly<{ address: string; scope: string; outcome: Outcome; letter?: string }>;

const Fault = ({ address, scope, outcome, letter }: OneProps) => (
  <Button
    name="outcome"
    value={outcome}
    {...(letter === undefined ? {} : { letter })}
    more={posts(address, `${scope}-${outcome}`)}
  >
    {capital(outcomeWords[outcome])}
  </Button>
);

export const FaultButtons = ({ address, keys, scope, chip }: Props) => (
  <>
    {faults.map(([outcome, letter]) => (
      <Fault key={outcome} address={address} scope={scope} outcome={outcome} {...(keys ? { letter } : {})} />
    ))}
    {commonOf(chip).map((outcome) => (
      <Fault key={outcome} address={address} scope={scope} outcome={outcome} />
    ))}
  </>
);

export const RarerFaults = ({ address, scope, chip }: Omit<Props, "keys">) => (
  <Fold title="It ended in another way" keep={`rarer-${scope}`}>
    <div class="outcomes">
      {rarer
        .filter((outcome) => !commonOf(chip).includes(outcome))
        .map((outcome) => (
          <Fault key={outcome} address={address} scope={scope} outcome={outcome} />
        ))}
    </div>
  </Fold>
);

/** First in its form and disabled: Enter in a field then ends nothing by accident. */
export const NothingOnEnter = () => <button type="submit" hidden disabled />;
