import type {
  Diagnostic,
  DisplayUnits,
  EnrichedWaypoint,
  FieldDefinition,
  Plugin,
  ReadSoundings,
  ReadWaypoint,
  Survey,
  Waypoint,
} from '../contract/index.ts';
import type { DayPlan } from '../day/index.ts';
import type { Coverage } from '../survey/index.ts';

/** A file that a program has in memory. */
export interface InputFile {
  /** Name with its extension, for messages and to tell its kind. */
  readonly name: string;
  readonly bytes: Uint8Array;
}

/** Waypoints that a program has as data. */
export interface InputWaypoints {
  readonly name: string;
  readonly waypoints: readonly ReadWaypoint[];
}

/** Soundings that a program has as columns: typed arrays of one length. */
export interface InputSoundings extends ReadSoundings {
  readonly name: string;
}

/** A value of an option: as typed on the command line (`'22-27ft'`), or a number, switch or list. */
export type OptionInput = string | number | boolean | readonly string[];

/** What every call is given. Names of inputs must differ from each other. */
export interface LakeRequest {
  readonly soundings?: readonly (InputFile | InputSoundings)[];
  /** GPX tracks that give positions to logs with times but no positions. */
  readonly tracks?: readonly InputFile[];
  /** Files that options name (`lures: 'box.csv'`) and files beside logs (`day1.dbf`), by name. */
  readonly files?: readonly InputFile[];
  /** Options by the names that they have on the command line, without dashes: `'fish-depth'`, `'cast.max'`. */
  readonly options?: Readonly<Record<string, OptionInput>>;
  /**
   * How single logs and files inside them are read, by name or pattern: `{ 'day1.csv': { 'depth-unit': 'ft' } }`,
   * `{ 'logs.zip/*.xyz': { crs: 'EPSG:32633' } }`.
   */
  readonly logs?: Readonly<Record<string, Readonly<Record<string, OptionInput>>>>;
  /** Plugins besides the built-in ones. They run in this thread: nothing stops one that never returns. */
  readonly plugins?: readonly Plugin[];
  /** Built-in plugins to leave out. */
  readonly without?: readonly string[];
  /** The day that `today` means, `YYYY-MM-DD`; by default that of this machine's calendar. */
  readonly today?: string;
}

export interface EnrichRequest extends LakeRequest {
  readonly waypoints: readonly (InputFile | InputWaypoints)[];
  /** Keep the bottom at each waypoint and the paths under its casts, some 100 kB a waypoint. */
  readonly keepInternals?: boolean;
}

export interface CheckRequest extends LakeRequest {
  readonly waypoints?: readonly (InputFile | InputWaypoints)[];
}

export interface PlanRequest extends LakeRequest {
  /** Enriched GPX, or the spots of `enrich`. */
  readonly lake: readonly InputFile[] | readonly EnrichedWaypoint[];
  /** What was fished so far: CSV, plain lines or GPX. */
  readonly log?: readonly InputFile[];
}

/** How a call says what it does, and how it is stopped. */
export interface ProgramHooks {
  /** @param share Of what is done, 0 to 1. */
  readonly progress?: (what: string, share?: number) => void;
  /** Called with each message as it is said; all of them are in the answer too. */
  readonly report?: (diagnostic: Diagnostic) => void;
  /** The call is rejected with the signal's reason. */
  readonly signal?: AbortSignal;
}

/** What every call gives. */
export interface LakeAnswer {
  /** All soundings, cleaned, reduced, on the plan's water level; logs with the account of their rows. */
  readonly survey: Survey;
  /** Logs that were refused while others could be used; why is among the messages. */
  readonly leftOut: readonly string[];
  readonly messages: readonly Diagnostic[];
  readonly units: DisplayUnits;
  /** Day of the plan, `YYYY-MM-DD`. */
  readonly date: string;
}

export interface EnrichAnswer extends LakeAnswer {
  /** In the order of the waypoints; those that cannot be planned for are left out. */
  readonly spots: readonly EnrichedWaypoint[];
  /** Fields that the table shows, in order. */
  readonly fields: readonly (readonly [name: string, definition: FieldDefinition])[];
  /** The enriched GPX of each waypoint file; several of one where `max-waypoints` splits it. */
  readonly gpx: readonly InputFile[];
  /** CSV, one row a spot. */
  readonly table: string;
  readonly geojson: string;
  /** Files of writers that were asked for, such as `layers: 'map'`, with the folder in their names. */
  readonly files: readonly InputFile[];
}

/** How well the soundings cover one mark. */
export interface MarkCoverage extends Coverage {
  readonly waypoint: string;
  /** Chance that the lake hides something here between its passes, 0 to 1. */
  readonly missed: number;
}

/** A pass worth running. */
export interface ProposedPass {
  readonly waypoint?: Waypoint;
  readonly reason: string;
  /** Ends of the pass, deg. */
  readonly from: readonly [lon: number, lat: number];
  readonly to: readonly [lon: number, lat: number];
  /** True bearing from `from` to `to`, deg, [0, 360). */
  readonly bearing: number;
  /** m */
  readonly length: number;
}

export interface CheckAnswer extends LakeAnswer {
  readonly marks: readonly MarkCoverage[];
  readonly passes: readonly ProposedPass[];
  /** The passes as GPX routes. */
  readonly routes: string;
  /** The report as the command prints it. */
  readonly text: string;
}

export interface PlanAnswer extends LakeAnswer {
  readonly plan: DayPlan;
  /** The plan as the command prints it. */
  readonly text: string;
  /** CSV, one row a stop. */
  readonly csv: string;
  readonly gpx: string;
}
