import type { Survey } from '../../contract/index.ts';
import { mostLikely } from './candidates.ts';
import { type Contradiction, contradictions } from './contradictions.ts';
import type { Finding, TieSearch } from './finding.ts';
import { changedDepths, eachRow, type Group, membersOf, shareOf } from './group.ts';
import { trackNodes } from './nodes.ts';
import { findTies, withDepths } from './ties.ts';
import { findUnitSteps } from './unit-steps.ts';
import { isUnitLike, unitOfStretch, unitsBetweenSteps, unitTaken } from './units.ts';

/** Faults of a survey found by comparing its passes, and the resulting corrections. */
export interface Account {
  /** The survey as given, the faults found, and the ties without these faults. */
  readonly work: TieSearch;
  readonly contradicted: readonly Contradiction[];
  /** Columns with wrong units and offsets corrected; empty when nothing was corrected. */
  readonly columns: Partial<Pick<Survey, 'depth' | 'shallowest'>>;
  /** Rows of refused files, to be dropped, ascending. */
  readonly refused: readonly number[];
  /** Rows that average depths in two units, to be dropped, ascending. */
  readonly mixed: readonly number[];
  /** Standard deviation of each row's depth due to faults and contradictions, m; absent if 0 throughout. */
  readonly tieError?: Float32Array;
}

/** Number of faults, including wrong units between steps, after which the search ends. */
const MAX_FINDINGS = 8;

/**
 * Finds the faults of a survey by comparing its passes.
 *
 * Wrong units between steps in depth are removed first. Then faults are found and removed one by one: a wrong
 * unit if there is one, otherwise the fault that explains most of the disagreement. Only wrong units and
 * offsets are corrected in `columns`. Every fault except a wrong unit adds uncertainty.
 */
export function accountOf(survey: Survey): Account {
  const steps = findUnitSteps(survey);
  const ties = findTies(trackNodes(survey, new Set(steps.map(({ row }) => row))));
  let work: TieSearch = { survey, ties, findings: [] };
  for (const unit of unitsBetweenSteps(work, steps)) work = accept(work, unit);
  while (work.findings.length < MAX_FINDINGS) {
    const unit = isUnitLike(work.ties) ? (unitTaken(work) ?? unitOfStretch(work)) : undefined;
    const finding = unit ?? mostLikely(work.ties);
    if (finding === undefined) break;
    work = accept(work, finding);
    // A refused file must be corrected by the user before anything more can be concluded.
    if (finding.kind === 'unit' && finding.isRefused) break;
  }
  return outcomeOf(work);
}

function accept(work: TieSearch, finding: Finding): TieSearch {
  const depth = work.ties.nodes.depth.slice();
  const rate = work.ties.nodes.rate.slice();
  for (const node of membersOf(work.ties, finding.group)) {
    if (finding.kind === 'unit') {
      depth[node] /= finding.unit.factor;
      rate[node] /= finding.unit.factor;
    } else depth[node] -= finding.size * finding.valueAt(node);
  }
  const ties = withDepths({ ...work.ties, nodes: { ...work.ties.nodes, rate } }, depth);
  return { ...work, ties, findings: [...work.findings, finding] };
}

function outcomeOf(work: TieSearch): Account {
  const { survey, ties, findings } = work;
  let columns: Account['columns'] = {};
  const variance = new Float32Array(survey.count);
  const refused = new Set<number>();
  const mixed: number[] = [];
  const change = (group: Group, changed: (depth: number) => number): void => {
    columns = changedDepths({ ...survey, ...columns }, group, changed);
  };
  for (const finding of findings) {
    const { group } = finding;
    if (finding.kind === 'unit') {
      mixed.push(...finding.mixed);
      const whole = group.kind === 'rows' ? ({ kind: 'file', log: group.log } as const) : group;
      if (finding.isRefused) eachRow(survey, whole, (row) => refused.add(row));
      else change(group, (own) => own / finding.unit.factor);
      continue;
    }
    if (finding.kind === 'offset') change(group, (own) => Math.max(0, own - finding.size));
    const halfEffect = finding.effect / 2;
    const rest = finding.effect * Math.min(shareOf(ties, group), 0.5);
    for (let row = 0; row < survey.count; row++) variance[row] += rest * rest;
    eachRow(survey, group, (row) => {
      variance[row] += halfEffect * halfEffect - rest * rest;
    });
  }
  const contradicted = contradictions(ties);
  for (const { node, difference } of contradicted)
    for (let row = ties.nodes.row[node]; row < ties.nodes.end[node]; row++)
      variance[row] += (difference / 2) ** 2;
  return {
    work,
    contradicted,
    columns,
    refused: [...refused].sort((a, b) => a - b),
    mixed: mixed.sort((a, b) => a - b),
    ...(variance.some((value) => value > 0) ? { tieError: variance.map(Math.sqrt) } : {}),
  };
}
