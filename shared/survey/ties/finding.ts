import type { Survey } from '../../contract/index.ts';
import type { Fit } from './fit.ts';
import type { Group } from './group.ts';
import type { Ties } from './ties.ts';
import type { WrongUnit } from './unit-steps.ts';

/**
 * A fault that explains disagreement between passes and adds uncertainty. Offsets are always corrected;
 * drift, shift and lag are corrected only if the user asks; stretch and heading are never corrected.
 */
export interface Suspicion {
  readonly kind: 'offset' | 'stretch' | 'drift' | 'shift' | 'lag' | 'heading';
  readonly group: Group;
  /**
   * Size of the fault:
   *
   * - offset, stretch: m by which the group is deeper than the rest;
   * - drift: m by which the end of the group is too deep, compared with the start;
   * - heading: m by which one direction of travel is deeper than the other;
   * - shift: m by which positions are off;
   * - lag: s by which positions are late.
   */
  readonly size: number;
  readonly fit: Fit;
  /** Typical error in depth that the fault causes, m. */
  readonly effect: number;
  /** Returns the error in depth at a node of the group, for a fault of size 1. */
  valueAt(node: number): number;
  /** Direction in which positions are shifted, deg true; only for a shift. */
  readonly toward?: number;
  /** A fault of another kind that explains the disagreement about as well. */
  readonly rival?: Suspicion;
}

/** Depths of a file, a day or a stretch that were read in the wrong unit. */
export interface UnitFinding {
  readonly kind: 'unit';
  readonly group: Group;
  readonly unit: WrongUnit;
  /** Rows that average depths in two units. */
  readonly mixed: readonly number[];
  /** True when the wrong rows cannot be told from the right ones, so the whole file cannot be used. */
  readonly isRefused: boolean;
}

export type Finding = UnitFinding | Suspicion;

export interface TieSearch {
  readonly survey: Survey;
  /** Ties of the survey without the faults found so far. */
  readonly ties: Ties;
  readonly findings: readonly Finding[];
}
