import type { Attempt } from "../../bench/things/attempt.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { outcomeWords } from "../../bench/things/outcome.ts";
import { Button } from "../../html/act.tsx";
import { CheckField, Fields } from "../../html/field.tsx";
import { isAppliedBySoftware } from "../kit/asSetSaid.ts";
import type { FormState } from "../kit/forms.ts";
import { paths } from "../paths.ts";
import { type Sent, SentFields } from "./readFold.tsx";
import { posts } from "./swaps.ts";

/** What a chip whose settings software applies is asked in one tap; other forms of the page leave it out. */
export const tapNames: ReadonlySet<string> = new Set(["freshBoot", "settingReadBack"]);

const isAskedOf = (chip: Chip): boolean => isAppliedBySoftware(chip) || chip.axis === "offset";

type TapProps = Sent & Readonly<{ attempt: Attempt; scope: string }>;

/** Whether the setting of an attempt stood, in one tap each; the same tap takes it back. */
export const AsSetTaps = ({ attempt, scope, ...sent }: TapProps) => {
  if (!isAskedOf(sent.chip)) return null;
  const { settingReadBack, freshBoot } = attempt;
  const tap = { address: paths.attempt(attempt.id), scope };
  return (
    <form method="post" action={tap.address} class="after">
      <input type="hidden" name="back" value="bench" />
      <SentFields {...sent} />
      <Tap {...tap} name="settingReadBack" value="confirmed" isSaid={settingReadBack === "confirmed"}>
        Read back as set
      </Tap>
      <Tap {...tap} name="settingReadBack" value="differs" isSaid={settingReadBack === "differs"}>
        It had dropped
      </Tap>
      {isAppliedBySoftware(sent.chip) ? (
        <Tap {...tap} name="freshBoot" value="yes" isSaid={freshBoot === true}>
          Freshly booted
        </Tap>
      ) : null}
    </form>
  );
};

type OneTap = Readonly<{
  address: string;
  scope: string;
  name: string;
  value: string;
  isSaid: boolean;
  children: string;
}>;

const Tap = ({ address, scope, name, value, isSaid, children }: OneTap) => (
  <Button
    name={name}
    value={isSaid ? "" : value}
    more={{ ...posts(address, `${scope}-${value}`), "aria-pressed": String(isSaid) }}
  >
    {children}
  </Button>
);

/** What may have taken the setting, as far as it is told. */
export type Dropped = Pick<Attempt, "outcome" | "freshBoot" | "settingReadBack">;

type AskedProps = Readonly<{ chip: Chip; form: FormState; dropped: Dropped | null }>;

/** Asked once after what may have taken the setting: until it is said, passes do not count. */
export const AppliedAgain = ({ chip, form, dropped }: AskedProps) =>
  isAppliedBySoftware(chip) && dropped !== null ? (
    <div class="applied">
      <CheckField
        name="settingReadBack"
        value="confirmed"
        label={`Applied again after “${droppedWords(dropped)}”`}
        hint="Until that is said, no pass counts."
        checked={form.typed.settingReadBack === "confirmed"}
      />
    </div>
  ) : null;

const droppedWords = ({ outcome, freshBoot, settingReadBack }: Dropped): string => {
  if (settingReadBack === "differs") return "had dropped";
  return freshBoot === true && outcome === "pass" ? "freshly booted" : outcomeWords[outcome];
};

/** What else is said of the setting in one tap while an attempt is entered. */
export const AsSetChecks = ({ chip, form, dropped }: AskedProps) =>
  isAppliedBySoftware(chip) ? (
    <Fields>
      <CheckField
        name="freshBoot"
        value="yes"
        label="Freshly booted"
        checked={form.typed.freshBoot === "yes"}
      />
      {dropped === null ? (
        <CheckField
          name="settingReadBack"
          value="confirmed"
          label="Read back as set"
          checked={form.typed.settingReadBack === "confirmed"}
        />
      ) : null}
    </Fields>
  ) : null;
