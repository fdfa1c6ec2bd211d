import { Fields, NumberField } from "../../html/field.tsx";
import type { FormState } from "../kit/forms.ts";

type Props = Readonly<{ form: FormState; scope: string }>;

/** For a run that ended before its ending is tapped. */
export const RanFor = ({ form: { typed, refused }, scope }: Props) => (
  <Fields>
    <NumberField
      name="durationS"
      scope={scope}
      label="It ran for"
      unit="min"
      value={typed.durationS}
      hint="Minutes, or 90 s, 3:24, 1 h 5 min. Left blank, until the tap."
      error={refused?.fields.durationS}
    />
  </Fields>
);

/** For a run found dead: between which two times it must have failed. */
export const FailedBetween = ({ form: { typed, refused }, scope }: Props) => (
  <Fields legend="Found like this? It failed between">
    <NumberField
      name="failedFromS"
      scope={scope}
      label="at the earliest after"
      unit="min"
      value={typed.failedFromS}
      error={refused?.fields.failedFromS}
    />
    <NumberField
      name="failedToS"
      scope={scope}
      label="at the latest after"
      unit="min"
      value={typed.failedToS}
      error={refused?.fields.failedToS}
    />
  </Fields>
);
