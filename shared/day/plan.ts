import type { Outlook } from './outlook.ts';
import type { OverDays } from './over-days.ts';
import type { PatternLine } from './pattern.ts';
import type { Run } from './run-parts.ts';
import type { FishingSpot, LeftOut, SpotSide } from './spots.ts';

/** The day plan as data, for the page, the table and the GPX. */
export interface DayPlan {
  readonly date: string;
  /** Start of the plan, s of the day. */
  readonly start: number;
  /** Check-in, s of the day. */
  readonly checkIn: number;
  /** Latest return that keeps the reserve, s of the day. */
  readonly latestBack: number;
  /** Arrival at `end`, s of the day. */
  readonly back: number;
  readonly ramp: PlanPlace;
  /** Where the plan starts: the place of `--at`, else the ramp. */
  readonly from: PlanPlace;
  /** Where the plan ends: the place of `--end`, else the ramp. */
  readonly end: PlanPlace;
  readonly stops: readonly PlannedStop[];
  /** The run to `end`. */
  readonly home: Run;
  readonly outlook: Outlook;
  /** Number of fish that count; 0 when all count. */
  readonly limit: number;
  readonly spots: number;
  readonly leftOut: readonly LeftOut[];
  readonly pattern: readonly PatternLine[];
  readonly overDays: OverDays;
  /** Number of logged stops that the plan learned from. */
  readonly logged: number;
  /** Number of marks of the lake. */
  readonly marks: number;
  /** False when no water is known, so that every run is an estimate. */
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
  /** Number of the visit to the spot on this day, from 1. */
  readonly visit: number;
  /** Arrival, s of the day. */
  readonly arrive: number;
  /** Start of the stop, s of the day; later than the arrival when the boat has to wait. */
  readonly begin: number;
  /** Departure, s of the day. */
  readonly leave: number;
  /** Upper bound on a departure that leaves the rest of the plan possible, s of the day. */
  readonly latestLeave: number;
  /** Length of the stop, s of fishing. */
  readonly stay: number;
  /** Reason for a wait between arrival and start; absent without a wait. */
  readonly waitsFor?: 'opening' | 'rest';
  /** End of the rest for this side, s of the day. */
  readonly restUntil: number;
  readonly run: Run;
  /** Time without a bite after which the stop is given up, s of fishing; at most 75 % of the stay. */
  readonly giveUp: number;
  /** Number of fish expected. */
  readonly fish: number;
  /** Value that the stop adds to the plan, without the bonus of a spot that must be in the plan. */
  readonly worth: number;
  /** Stock of the side at the start of the stop, 0 to 1; 1 is rested. */
  readonly stock: number;
  /** Chance that fish bite at the spot, 0 to 1. */
  readonly chance: number;
  /** Chance that the stop gives at least one fish, 0 to 1. */
  readonly chanceOfFish: number;
  /** Mean weight of the fish at the spot, kg. */
  readonly weight: number;
  readonly why: string;
  readonly fallbacks: readonly Fallback[];
}

/** Where to go instead when a stop gives no fish. */
export interface Fallback {
  readonly spot: FishingSpot;
  readonly side: SpotSide;
  /** Time to get there, s, with the fixed time of a run. */
  readonly seconds: number;
  readonly chanceOfFish: number;
  /** Start of the next planned stop at the spot, s of the day; undefined if none is planned. */
  readonly plannedFor: number | undefined;
}

/** Letter of a side: D for downslope (deep), U for upslope (shallow). */
export type SideLetter = 'D' | 'U';

export const sideLetter = (side: Pick<SpotSide, 'side'>): SideLetter => (side.side === 0 ? 'D' : 'U');
