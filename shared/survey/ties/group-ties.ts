import type { Work } from './account.ts';
import { offsetOf } from './candidates.ts';
import { fitColumn } from './fit.ts';
import { type Group, groupColumn, groupsOf } from './group.ts';
import { differenceOf, withDepths } from './ties.ts';

/** Offset of each file or day against the rest over the same bottom, with its standard error. */
export interface GroupTie {
  readonly group: Group;
  /** m by which it is deeper; undefined where nothing compares them. */
  readonly offset?: { readonly size: number; readonly sd: number };
  /** Its depths over theirs. */
  readonly ratio?: { readonly size: number; readonly sd: number };
  /** Places of some 50 m of track that compare them. */
  readonly places: number;
}

/** Ties of every file and every day. */
export function groupTies(work: Work): GroupTie[] {
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
