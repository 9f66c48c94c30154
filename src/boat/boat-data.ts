import type { DisplayUnits, EnrichedWaypoint, LakeBottom } from '../../shared/contract/index.ts';
import type { DayPlan, DayPlanOptions, KnownWater } from '../../shared/day/index.ts';

/** Data of a boat page, which the page never changes. */
export interface BoatData {
  /** Digest of all other data. The phone stores the log of a page under this key. */
  readonly identity: string;
  readonly title: string;
  /** Day of the plan, `YYYY-MM-DD`. */
  readonly date: string;
  readonly units: DisplayUnits;
  readonly version: string;
  /** Marks without internal fields. With a plan, these are the marks that the command planned from. */
  readonly waypoints: readonly EnrichedWaypoint[];
  /** Options of the day plan; `log` holds the log from before the page was made. */
  readonly options: DayPlanOptions;
  /** The plan made by the command; absent on a page of spots only. */
  readonly plan?: DayPlan;
  /**
   * Water by cell, before zones are applied; absent without a plan, or with neither soundings nor shoreline.
   */
  readonly water?: PackedWater;
  /** Depths of the sounded bottom; absent without soundings. */
  readonly depths?: PackedDepths;
}

/** Known water; `state` is packed, one byte per cell. */
export interface PackedWater extends Omit<KnownWater, 'frame' | 'state' | 'limit'> {
  /** Origin of the water's frame, deg. */
  readonly lat: number;
  readonly lon: number;
  readonly state: string;
  /** Packed `ComputedRuns[]`: run times between places, which the phone then need not compute. */
  readonly runs: string;
}

/** The lake grid with packed depths in whole centimeters; `NOT_SOUNDED` where there are no soundings. */
export interface PackedDepths extends Omit<LakeBottom, 'depth' | 'lines' | 'areas'> {
  readonly depth: string;
}

export const NOT_SOUNDED = -32_768;

/** Writes a value as JSON that keeps infinite numbers, such as the time of a run to a place out of reach. */
export const toText = (value: unknown): string =>
  JSON.stringify(value, (_, part) =>
    typeof part === 'number' && !Number.isFinite(part) ? { number: String(part) } : part,
  );

export const fromText = <T>(text: string): T =>
  JSON.parse(text, (_, part) =>
    typeof part === 'object' && part !== null && typeof part.number === 'string' ? Number(part.number) : part,
  );
