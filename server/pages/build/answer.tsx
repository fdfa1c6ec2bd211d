import type { FrontierPoint } from "../../bench/frontier/frontierPoint.ts";
import { formatCount, formatDuration } from "../../html/format.ts";
import type { HeldPoint } from "../kit/furthest.ts";
import { Clock, Setting } from "../kit/settingWords.tsx";

export const Headline = ({
  name,
  top,
  tried,
}: {
  name: string;
  top: HeldPoint | undefined;
  tried: number;
}) => {
  if (top)
    return (
      <>
        {name} holds <Setting clockMhz={top.heldMhz} voltageMv={top.voltageMv} />
      </>
    );
  return <>{tried === 0 ? `Nothing was tried on ${name} yet` : `${name} holds nothing by this rule yet`}</>;
};

const Contested = ({ top }: { top: HeldPoint }) => {
  const { contested, highestPassedMhz } = top;
  if (contested.length === 0 || highestPassedMhz === null) return null;
  const isOne = contested.length === 1;
  return (
    <>
      {isOne ? "A pass at" : `${contested.length} passes up to`} <Clock mhz={highestPassedMhz} />{" "}
      {isOne ? "is" : "are"} contested by a crash at that or an easier setting.{" "}
    </>
  );
};

const Above = ({ top }: { top: HeldPoint }) => {
  const { lowestCrashMhz, heldMhz, highestPassedMhz } = top;
  if (lowestCrashMhz !== null && lowestCrashMhz > heldMhz)
    return (
      <>
        Observed, not the limit itself: the lowest crash there is at <Clock mhz={lowestCrashMhz} />,{" "}
        {lowestCrashMhz - heldMhz} MHz up.{" "}
      </>
    );
  if (lowestCrashMhz === null && highestPassedMhz === heldMhz)
    return <>Nothing higher was tried there, so it may go further. </>;
  return null;
};

const Behind = ({ top }: { top: HeldPoint }) => {
  const { passes, exposureS, mtbfLowerS } = top.evidence;
  if (passes === null || exposureS === null || mtbfLowerS === null) return null;
  return (
    <>
      It rests on <b>{formatCount(passes, "pass", "passes")}</b> and <b>{formatDuration(exposureS)}</b>{" "}
      without a fault: by that alone, at least {formatDuration(mtbfLowerS)} between crashes.
    </>
  );
};

/** What the headline rests on, what speaks against it, and what was never tried. */
export const Lead = ({ top, tried }: { top: HeldPoint | undefined; tried: number }) => {
  if (top)
    return (
      <>
        <Contested top={top} />
        <Above top={top} />
        <Behind top={top} />
      </>
    );
  return tried === 0 ? (
    <>The first attempt begins where you know it runs; the bench proposes it.</>
  ) : (
    <>No setting has passed for as long as the rule asks without a crash against it.</>
  );
};

export const MarginWords = ({ point }: { point: FrontierPoint }) => {
  const { margin, marginC } = point;
  if (marginC === null) return <>–</>;
  const degrees = Math.round(marginC);
  if (margin === "over") return <span class="fault">over by {Math.abs(degrees)}</span>;
  return margin === "tight" ? <span class="warm">tight {degrees}</span> : degrees;
};
