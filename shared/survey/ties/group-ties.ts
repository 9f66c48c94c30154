import { offsetOf } from './candidates.ts';
import type { TieSearch } from './finding.ts';
import { type Fit, fitColumn } from './fit.ts';
import { type Group, groupColumn, groupsOf } from './group.ts';
import { differenceOf, withDepths } from './ties.ts';

/** How the depths of a file or day compare with the rest over the same bottom. */
export interface GroupTie {
  readonly group: Group;
  /** Meters by which the group is deeper; undefined when nothing compares it with the rest, like `ratio`. */
  readonly offset?: Fit;
  /** Depths of the group divided by depths of the rest. */
  readonly ratio?: Pick<Fit, 'size' | 'sd'>;
}

/** Offsets and ratios of every file and every day. */
export function groupTies(work: TieSearch): GroupTie[] {
  const { ties, place } = work;
  const logarithms = ties.nodes.depth.map((depth) => Math.log(Math.max(0.3, depth)));
  const inLogs = withDepths(ties, logarithms);
  const ratios = differenceOf(inLogs, logarithms);
  return groupsOf(ties).map((group) => {
    const offset = offsetOf(work, group)?.fit;
    const ratio = fitColumn(inLogs, ratios, groupColumn(ties, group), place);
    if (offset === undefined || ratio === undefined) return { group };
    const size = Math.exp(ratio.size);
    return { group, offset, ratio: { size, sd: size * ratio.sd } };
  });
}
