import type { PatternLine } from './pattern.ts';
import type { Run } from './runs.ts';
import type { FishingSpot, SpotSide } from './spots.ts';

/** The day plan as data: everything that page, table and GPX show. */
export interface DayPlan {
  readonly date: string;
  /** s of the day: when the plan starts, the check-in, and the latest return that keeps the reserve. */
  readonly start: number;
  readonly checkIn: number;
  readonly latestBack: number;
  /** s of the day at the ramp. */
  readonly back: number;
  readonly ramp: PlanPlace;
  /** Where the plan starts: the ramp, or where the boat is now. */
  readonly from: PlanPlace;
  readonly stops: readonly PlannedStop[];
  /** The run back to the ramp. */
  readonly home: Run;
  /** Fish expected. */
  readonly fish: number;
  readonly spots: number;
  readonly leftOut: readonly LeftOut[];
  readonly pattern: readonly PatternLine[];
  /** Logged stops that the plan knows of. */
  readonly logged: number;
  /** False when every run is an estimate. */
  readonly hasWater: boolean;
  /** s. */
  readonly giveUp: number;
  /** m/s. */
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
  /** s of the day. */
  readonly arrive: number;
  /** When the stop begins; later than the arrival when it waits. */
  readonly begin: number;
  readonly leave: number;
  /** Latest time to leave with the rest of the plan still possible. */
  readonly latestLeave: number;
  /** s of fishing. */
  readonly stay: number;
  /** Why it waits, if it does. */
  readonly waitsFor?: 'opening' | 'rest';
  /** The same side rests until then. */
  readonly restUntil: number;
  /** Run that leads here. */
  readonly run: Run;
  /** Fish expected, the same times the weight of the priority, and share of the school that is rested. */
  readonly fish: number;
  readonly worth: number;
  readonly stock: number;
  readonly chance: number;
  readonly why: string;
  readonly fallbacks: readonly Fallback[];
}

/** Where to go instead when a stop gives nothing. */
export interface Fallback {
  readonly name: string;
  readonly side: 'D' | 'U';
  /** s of running. */
  readonly seconds: number;
  readonly fish: number;
  /** s of the day at which the plan fishes that spot later; undefined when it does not. */
  readonly plannedFor: number | undefined;
}

export interface LeftOut {
  readonly name: string;
  readonly why: string;
}

export const sideLetter = (side: SpotSide): 'D' | 'U' => (side.side === 0 ? 'D' : 'U');
