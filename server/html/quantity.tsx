import type { ComponentChildren } from "preact";
import { formatMoment, type MomentForm } from "./format.ts";

/** A number and its unit never part at the end of a line. */
export const Quantity = ({ value, unit }: { value: ComponentChildren; unit: string }) => (
  <span class="quantity">
    {value}
    {"\u00a0"}
    <span class="unit">{unit}</span>
  </span>
);

/** Words in which numbers joined by hyphens, as 30-38-38-76, never break at one. */
export const Unbroken = ({ words }: { words: string }) => (
  <>
    {words.split(/(\d+(?:-(?:\d+|auto))+)/).map((part, i) =>
      i % 2 === 0 ? (
        part
      ) : (
        <span key={i} class="quantity">
          {part}
        </span>
      ),
    )}
  </>
);

/** An instant; the script rewrites it in the reader's own zone, without it the zone is said. */
export const Moment = ({ at, form = "moment" }: { at: string; form?: MomentForm }) => (
  <time datetime={at} data-moment={form}>
    {formatMoment(at, form)}
    {form === "day" ? "" : " UTC"}
  </time>
);

/** In a list: whole where there is room, brief on a phone. */
export const ListedMoment = ({ at }: { at: string }) => (
  <>
    <span class="on-wide">
      <Moment at={at} />
    </span>
    <span class="on-narrow">
      <Moment at={at} form="brief" />
    </span>
  </>
);
