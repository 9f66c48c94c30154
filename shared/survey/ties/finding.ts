import type { Survey } from '../../contract/index.ts';
import type { Fit } from './fit.ts';
import type { Group } from './group.ts';
import type { Ties } from './ties.ts';
import type { WrongUnit } from './unit-steps.ts';

/**
 * A fault that explains disagreements between passes. Offsets are always corrected; other faults only add
 * uncertainty unless the user asks to correct them.
 */
export interface Suspicion {
  readonly kind: 'offset' | 'stretch' | 'drift' | 'shift' | 'lag' | 'heading';
  readonly group: Group;
  /**
   * Size of the fault. Offset, stretch: m by which the group is deeper than the rest. Drift: m by which the
   * end of the group is deeper than its start. Heading: m by which one direction of travel is deeper than the
   * other. Shift: m by which positions are off. Lag: s by which positions are late.
   */
  readonly size: number;
  readonly fit: Fit;
  /** Difference in depth that the fault causes, m. */
  readonly effect: number;
  /** Change in the depth of each node of the group per unit of `size`. */
  valueAt(node: number): number;
  /** Direction in which positions are shifted, deg true. */
  readonly toward?: number;
  /** Another fault that explains the disagreement about as well. */
  readonly rival?: Suspicion;
}

/** Depths of a file, a day or a stretch that were read in the wrong unit. */
export interface UnitFinding {
  readonly kind: 'unit';
  readonly group: Group;
  readonly unit: WrongUnit;
  /** Rows in which two units are mixed. */
  readonly mixed: readonly number[];
  /** True when the ends of the part are unknown, so its whole file cannot be used. */
  readonly isRefused: boolean;
}

/** A fault found in a survey. */
export type Finding = UnitFinding | Suspicion;

/** State of the search for faults. */
export interface TieSearch {
  readonly survey: Survey;
  /** Ties with the faults found so far removed. */
  readonly ties: Ties;
  readonly findings: readonly Finding[];
}
