import type { Outlook } from './outlook.ts';
import type { OverDays } from './over-days.ts';
import type { PatternLine } from './pattern.ts';
import type { Run } from './run-parts.ts';
import type { FishingSpot, LeftOut, SpotSide } from './spots.ts';

/** The day plan as data: everything shown on the page, in the table and in the GPX. */
export interface DayPlan {
  readonly date: string;
  /** Start of the plan, check-in, and the latest return that keeps the reserve, s of the day. */
  readonly start: number;
  readonly checkIn: number;
  readonly latestBack: number;
  /** Arrival at the ramp, s of the day. */
  readonly back: number;
  readonly ramp: PlanPlace;
  /** Where the plan starts and ends: the ramp, or another place given. */
  readonly from: PlanPlace;
  readonly end: PlanPlace;
  readonly stops: readonly PlannedStop[];
  /** The run back to the ramp. */
  readonly home: Run;
  /** Possible results of the stops. */
  readonly outlook: Outlook;
  /** Number of fish that count; 0 when all count. */
  readonly limit: number;
  readonly spots: number;
  readonly leftOut: readonly LeftOut[];
  readonly pattern: readonly PatternLine[];
  readonly overDays: OverDays;
  /** Number of logged stops used by the plan. */
  readonly logged: number;
  /** Number of marks of the lake. */
  readonly marks: number;
  /** False when every run is an estimate. */
  readonly hasWater: boolean;
  /** Run speed on open water, m/s. */
  readonly speed: number;
}

export interface PlanPlace {
  readonly name: string;
  readonly lat: number;
  readonly lon: number;
}

export interface PlannedStop {
  readonly spot: FishingSpot;
  readonly side: SpotSide;
  /** 1 for the first visit of the day. */
  readonly visit: number;
  /** Arrival, s of the day. */
  readonly arrive: number;
  /** Start of the stop; later than the arrival when the boat has to wait. */
  readonly begin: number;
  readonly leave: number;
  /** Latest departure that leaves the rest of the plan possible. */
  readonly latestLeave: number;
  /** s of fishing. */
  readonly stay: number;
  /** Reason for waiting, if any. */
  readonly waitsFor?: 'opening' | 'rest';
  /** End of the rest for this side. */
  readonly restUntil: number;
  readonly run: Run;
  /** Time without a bite after which the stop is given up, s of fishing; shorter than the stay. */
  readonly giveUp: number;
  /** Fish expected in the value of the plan, and the rested share of the school. */
  readonly fish: number;
  readonly worth: number;
  readonly stock: number;
  /** Chance that fish bite there, and chance that the stop gives at least one. */
  readonly chance: number;
  readonly chanceOfFish: number;
  /** Mean weight of the fish there, kg. */
  readonly weight: number;
  readonly why: string;
  readonly fallbacks: readonly Fallback[];
}

/** Where to go instead when a stop gives no fish. */
export interface Fallback {
  readonly spot: FishingSpot;
  readonly side: SpotSide;
  /** Running time, s. */
  readonly seconds: number;
  readonly chanceOfFish: number;
  /** Time at which the plan fishes that spot later, s of the day; undefined when it does not. */
  readonly plannedFor: number | undefined;
}

/** Letter of a side, as in the names of partner waypoints: D deep, U shallow. */
export type SideLetter = 'D' | 'U';

export const sideLetter = (side: Pick<SpotSide, 'side'>): SideLetter => (side.side === 0 ? 'D' : 'U');
