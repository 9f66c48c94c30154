import { offsetOf } from './candidates.ts';
import type { TieSearch } from './finding.ts';
import { fitColumn } from './fit.ts';
import { type Group, groupColumn, groupsOf } from './group.ts';
import { differenceOf, withDepths } from './ties.ts';

/**
 * Offset and ratio of the depths of a file or day relative to the rest over the same bottom, with standard
 * errors.
 */
export interface GroupTie {
  readonly group: Group;
  /** Meters by which the group is deeper; undefined when nothing compares it with the rest. */
  readonly offset?: { readonly size: number; readonly sd: number };
  /** Depths of the group divided by depths of the rest. */
  readonly ratio?: { readonly size: number; readonly sd: number };
  /** Number of places (up to 50 m of track each) where they are compared. */
  readonly places: number;
}

/** Offsets and ratios of every file and every day. */
export function groupTies(work: TieSearch): GroupTie[] {
  const { ties, place } = work;
  const logarithms = ties.nodes.depth.map((depth) => Math.log(Math.max(0.3, depth)));
  const inLogs = withDepths(ties, logarithms);
  const ratios = differenceOf(inLogs, logarithms);
  return groupsOf(ties).map((group) => {
    const offset = offsetOf(work, group);
    const ratio = fitColumn(inLogs, ratios, groupColumn(ties, group), place);
    if (offset === undefined || ratio === undefined) return { group, places: 0 };
    return {
      group,
      offset: { size: offset.size, sd: offset.sd },
      ratio: { size: Math.exp(ratio.size), sd: Math.exp(ratio.size) * ratio.sd },
      places: offset.fit.places,
    };
  });
}
