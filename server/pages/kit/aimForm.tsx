import {
  type BuildAim,
  goalInWords,
  goals,
  hardestOffset,
  useInWords,
  uses,
} from "../../bench/things/aim.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { paths } from "../paths.ts";

type Props = Readonly<{
  buildId: string;
  aim: BuildAim;
  axis: Chip["axis"];
  /** Where to go on from. */
  back: "bench" | "build";
}>;

/** What the build is after, each part changed by one tap; it stays with the build. An offset is only ever wanted as hard as it goes. */
export const AimForm = ({ buildId, aim, axis, back }: Props) => (
  <form method="post" action={paths.aim(buildId)} class="aim" aria-label="What this build is after">
    <input type="hidden" name="back" value={back} />
    {axis === "offset" ? (
      <span>{hardestOffset}</span>
    ) : (
      goals.map((goal) => (
        <Choice key={goal} name="goal" value={goal} words={goalInWords[goal]} isOn={goal === aim.goal} />
      ))
    )}
    <span class="quiet">for</span>
    {uses.map((use) => (
      <Choice key={use} name="use" value={use} words={useInWords[use]} isOn={use === aim.use} />
    ))}
  </form>
);

type ChoiceProps = Readonly<{ name: string; value: string; words: string; isOn: boolean }>;

const Choice = ({ name, value, words, isOn }: ChoiceProps) => (
  <button type="submit" name={name} value={value} aria-pressed={isOn ? "true" : "false"}>
    {words}
  </button>
);
