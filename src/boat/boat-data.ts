import type { DisplayUnits, EnrichedWaypoint } from '../../shared/contract/index.ts';
import type { DayPlan, DayPlanOptions } from '../../shared/day/index.ts';

/** Everything that a boat page carries; the page reads it and never changes it. */
export interface BoatData {
  /** Of the lake, the day and the options: what is logged on one page is never shown on another. */
  readonly identity: string;
  readonly title: string;
  /** Day of the plan, `YYYY-MM-DD`. */
  readonly date: string;
  readonly units: DisplayUnits;
  readonly version: string;
  /** Marks with their fields as the enriched GPX has them: the page plans from the same numbers as the command. */
  readonly waypoints: readonly EnrichedWaypoint[];
  /** Options of the day plan; `log` holds what was logged before. */
  readonly options: DayPlanOptions;
  /** The plan as the command made it; absent on a page of spots only. */
  readonly plan?: DayPlan;
  /** What may be run over, without zones; absent without a plan, or when nothing is known. */
  readonly water?: PackedWater;
  /** Depths of the sounded bottom; absent without soundings. */
  readonly depths?: PackedDepths;
}

/** Known water with its cells packed; places are from the frame's origin, m. */
export interface PackedWater {
  readonly lat: number;
  readonly lon: number;
  readonly size: number;
  readonly east: number;
  readonly north: number;
  readonly columns: number;
  readonly rows: number;
  /** A byte a cell. */
  readonly state: string;
  /** Run times between spots and ramp as the plan worked them out, `WorkedRuns[]` as packed text: a phone need not. */
  readonly runs: string;
}

/** The lake grid with its depths packed: whole centimeters, `NOT_SOUNDED` where nothing was. */
export interface PackedDepths {
  readonly lat: number;
  readonly lon: number;
  /** Direction of the first axis, rad from east toward north. */
  readonly axis: number;
  readonly x0: number;
  readonly y0: number;
  /** m between nodes. */
  readonly cell: number;
  readonly columns: number;
  readonly rows: number;
  readonly depth: string;
}

/** Stands in packed depths for a node that nobody sounded. */
export const NOT_SOUNDED = -32_768;

/** JSON of anything that holds numbers, infinite ones too, such as a place that cannot be reached. */
export const toText = (value: unknown): string =>
  JSON.stringify(value, (_, part) =>
    typeof part === 'number' && !Number.isFinite(part) ? { number: String(part) } : part,
  );

/** What `toText` wrote. */
export const fromText = <T>(text: string): T =>
  JSON.parse(text, (_, part) =>
    typeof part === 'object' && part !== null && typeof part.number === 'string' ? Number(part.number) : part,
  );
