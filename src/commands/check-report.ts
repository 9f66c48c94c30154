import type { SoundingIndex, Survey } from '../../shared/contract/soundings.ts';
import type { Waypoint } from '../../shared/contract/waypoint.ts';
import type { Diagnostic } from '../../shared/diagnostics/diagnostic.ts';

/** What `downslope check` looks at. */
export interface CheckInput {
  readonly survey: Survey;
  readonly index: SoundingIndex;
  readonly waypoints: readonly Waypoint[];
  /** Everything readers and plugins said. */
  readonly diagnostics: readonly Diagnostic[];
  readonly units: 'ft' | 'm';
}

/** A pass worth running: position, direction and length, for one weak waypoint. */
export interface ProposedPass {
  readonly waypoint: Waypoint;
  readonly reason: string;
  /** Ends of the pass, deg. */
  readonly from: readonly [lon: number, lat: number];
  readonly to: readonly [lon: number, lat: number];
  /** True bearing from `from` to `to`, deg, [0, 360). */
  readonly bearing: number;
  /** m */
  readonly length: number;
}

export interface CheckReport {
  /** Lines for the person, ready to print. */
  readonly text: string;
  readonly passes: readonly ProposedPass[];
  /** GPX 1.1 with one route per proposed pass. */
  readonly routes: string;
}

/** What was read and dropped, how well it agrees, and how well it covers each waypoint. */
export function checkReport(input: CheckInput): CheckReport {
  void input;
  throw new Error('being written');
}
