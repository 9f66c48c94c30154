import type { DisplayUnits, EnrichedWaypoint, LakeBottom } from '../../shared/contract/index.ts';
import type { DayPlan, DayPlanOptions, KnownWater } from '../../shared/day/index.ts';

/** All the data of a boat page. The page never changes it. */
export interface BoatData {
  /** Identifies the lake, the day and the options, so that one page never shows the log of another. */
  readonly identity: string;
  readonly title: string;
  /** Day of the plan, `YYYY-MM-DD`. */
  readonly date: string;
  readonly units: DisplayUnits;
  readonly version: string;
  /** Marks with the same fields as in the enriched GPX, so that the page and the command plan from the same numbers. */
  readonly waypoints: readonly EnrichedWaypoint[];
  /** Options of the day plan; `log` holds what had been logged before. */
  readonly options: DayPlanOptions;
  /** The plan made by the command; absent on a page of spots only. */
  readonly plan?: DayPlan;
  /** Water where the boat may run, without zones; absent without a plan, or when nothing is known. */
  readonly water?: PackedWater;
  /** Depths of the sounded bottom; absent without soundings. */
  readonly depths?: PackedDepths;
}

/** Known water with its cells packed, one byte a cell. */
export interface PackedWater extends Omit<KnownWater, 'frame' | 'state' | 'limit'> {
  /** Origin of its frame, deg. */
  readonly lat: number;
  readonly lon: number;
  readonly state: string;
  /** Run times between spots and ramp, as `ComputedRuns[]` in packed text, so that the phone need not compute them. */
  readonly runs: string;
}

/** The lake grid with packed depths in whole centimeters; `NOT_SOUNDED` where there are no soundings. */
export interface PackedDepths extends Omit<LakeBottom, 'depth' | 'lines' | 'areas'> {
  readonly depth: string;
}

/** Packed depth of a node without soundings. */
export const NOT_SOUNDED = -32_768;

/** JSON text of a value that may hold infinite numbers, such as the run time to a place that cannot be reached. */
export const toText = (value: unknown): string =>
  JSON.stringify(value, (_, part) =>
    typeof part === 'number' && !Number.isFinite(part) ? { number: String(part) } : part,
  );

/** Reverses `toText`. */
export const fromText = <T>(text: string): T =>
  JSON.parse(text, (_, part) =>
    typeof part === 'object' && part !== null && typeof part.number === 'string' ? Number(part.number) : part,
  );
