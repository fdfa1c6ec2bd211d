import type { Attempt } from "../../bench/things/attempt.ts";
import type { SettingUnits } from "../../bench/things/setting.ts";
import type { Page } from "../../bench/things/thing.ts";
import type { Refused } from "../kit/forms.ts";
import type { OverlayAs } from "../kit/heatOverlay.ts";
import type { OverlaidRun } from "./overlay.ts";

export type HeatListShown = Readonly<{
  page: Page<Attempt>;
  names: Readonly<{
    builds: ReadonlyMap<string, string>;
    loads: ReadonlyMap<string, string>;
    /** In which units the attempts of each build are written. */
    units: ReadonlyMap<string, SettingUnits>;
  }>;
  overlaid: readonly OverlaidRun[];
  /** Long traces that are being read, and are not drawn yet. */
  awaited: number;
  /** The runs to be drawn, by id. */
  wanted: readonly string[];
  /** Whether the reader chose them, or the page did. */
  chosen: boolean;
  /** Runs of several builds at one setting under one load, those of most builds first. */
  alike: readonly (readonly Attempt[])[];
  as: OverlayAs;
  refused: Refused | null;
}>;
