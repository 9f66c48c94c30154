import type { Outlook } from './outlook.ts';
import type { OverDays } from './over-days.ts';
import type { PatternLine } from './pattern.ts';
import type { Run } from './runs.ts';
import type { FishingSpot, LeftOut, SpotSide } from './spots.ts';

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
  /** Where the plan starts and ends: the ramp, or another place given. */
  readonly from: PlanPlace;
  readonly end: PlanPlace;
  readonly stops: readonly PlannedStop[];
  /** The run back to the ramp. */
  readonly home: Run;
  /** What the stops may bring. */
  readonly outlook: Outlook;
  /** Fish that count, 0 for all of them. */
  readonly limit: number;
  readonly spots: number;
  readonly leftOut: readonly LeftOut[];
  readonly pattern: readonly PatternLine[];
  readonly overDays: OverDays;
  /** Logged stops that the plan knows of. */
  readonly logged: number;
  /** Marks of the lake. */
  readonly marks: number;
  /** False when every run is an estimate. */
  readonly hasWater: boolean;
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
  /** s without a bite after which it is given up; shorter than the stay. */
  readonly giveUp: number;
  /** Fish expected, the same as the plan values it, and share of the school that is rested. */
  readonly fish: number;
  readonly worth: number;
  readonly stock: number;
  /** Chance that fish bite there, and that the stop gives at least one. */
  readonly chance: number;
  readonly chanceOfFish: number;
  /** kg, mean of the fish there. */
  readonly weight: number;
  readonly why: string;
  readonly fallbacks: readonly Fallback[];
}

/** Where to go instead when a stop gives nothing. */
export interface Fallback {
  readonly spot: FishingSpot;
  readonly side: SpotSide;
  /** s of running. */
  readonly seconds: number;
  readonly chanceOfFish: number;
  /** s of the day at which the plan fishes that spot later; undefined when it does not. */
  readonly plannedFor: number | undefined;
}

export type { LeftOut };

/** Letter of a side, as in the names of partner waypoints: D deep, U shallow. */
export type SideLetter = 'D' | 'U';

export const sideLetter = (side: Pick<SpotSide, 'side'>): SideLetter => (side.side === 0 ? 'D' : 'U');
