import { aimInWords } from "../../bench/things/aim.ts";
import { Button } from "../../html/act.tsx";
import { Fold } from "../../html/entry.tsx";
import { ChoiceField } from "../../html/field.tsx";
import { AimForm } from "../kit/aimForm.tsx";
import { standsOn } from "../kit/standsOn.ts";
import { paths } from "../paths.ts";
import type { Shown } from "./shown.ts";

/** The build on the bench, of what it is made, and how to go to another. */
export const BuildAside = ({ shown: { shown, builds } }: { shown: Shown }) => {
  const { build, chip, board } = shown;
  const parts = standsOn(build.name, chip.name, board?.name ?? null);
  const words = [build.cooler, build.fans, build.case].filter((part) => part !== "").join(", ");
  return (
    <div class="who">
      <p>
        <b>
          <a href={paths.build(build.id)}>{build.name}</a>
        </b>
      </p>
      {parts === null ? null : <p class="parts">{parts}</p>}
      {words ? <p class="parts">{words}</p> : null}
      <Fold title="change">
        {builds.length > 1 ? (
          <form method="get" action={paths.bench()}>
            <ChoiceField
              name="build"
              label="Build"
              value={build.id}
              choices={builds.map(({ id, name }) => ({ value: id, title: name }))}
            />
            <Button>Show</Button>
          </form>
        ) : null}
        <AimForm buildId={build.id} aim={build} axis={chip.axis} back="bench" />
        <a href={paths.newBuild({ basedOn: build.id })}>new build</a>
      </Fold>
      <p class="parts">{aimInWords(build, chip.axis)}</p>
    </div>
  );
};
