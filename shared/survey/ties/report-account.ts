import { uniqWith } from 'es-toolkit/array';
import type { Diagnostic, Report } from '../../contract/index.ts';
import { tieMessages as says } from '../../text/index.ts';
import type { Account } from './account.ts';
import type { Finding, TieSearch } from './finding.ts';
import { complementOf, type Group } from './group.ts';
import { nameOf } from './part-name.ts';
import { untiedParts } from './parts.ts';

const CONTRADICTED = 0.02;

/** Reports faults, contradicted nodes and parts that are not tied, each cause once. */
export function reportAccount({ work, contradicted }: Account, report: Report): void {
  const refused = work.findings.filter(isRefusal).map(({ group }) => logOf(group));
  const found = work.findings.filter(
    (finding) =>
      isRefusal(finding) || logOf(finding.group) === undefined || !refused.includes(logOf(finding.group)),
  );
  for (const finding of uniqWith(found, isSame)) report(messageOf(work, finding));
  // The user has to mend a refused file before anything can be said of the passes together.
  if (refused.length > 0) return;
  const tied = work.ties.planes.filter((plane) => plane !== undefined).length;
  const most = Math.max(...contradicted.map(({ difference }) => Math.abs(difference)));
  if (contradicted.length > CONTRADICTED * tied)
    report(says.contradicted(undefined, most, contradicted.length / tied));
  const parts = untiedParts(work);
  if (parts.length > 0) report(says.untied(undefined, parts[0].words, parts.length, parts[0]));
}

const isRefusal = (finding: Finding): boolean => finding.kind === 'unit' && finding.isRefused;

/** Returns the log that a group is in; undefined for a day and for all logs. */
const logOf = (group: Group): number | undefined => ('log' in group ? group.log : undefined);

/** True for stretches of one file in the same wrong unit, which get one message. */
function isSame(a: Finding, b: Finding): boolean {
  if (a.kind !== 'unit' || b.kind !== 'unit' || a.isRefused || b.isRefused) return false;
  if (a.group.kind !== 'rows' || b.group.kind !== 'rows') return false;
  return a.group.log === b.group.log && a.unit.is === b.unit.is;
}

function messageOf({ survey, ties, findings }: TieSearch, finding: Finding): Diagnostic {
  const part = nameOf(survey, finding.group);
  const place = part.file === undefined ? undefined : { file: part.file };
  if (finding.kind === 'unit') {
    const { group, unit, isRefused } = finding;
    if (isRefused) return says['unit-change'](place, part, unit);
    if (group.kind !== 'rows') return says['unit-mismatch'](place, part, unit);
    const more = findings.filter((other) => other !== finding && isSame(other, finding)).length;
    return says['unit-mismatch rows'](place, part, unit, more);
  }
  const { kind, size, effect, rival } = finding;
  if (kind === 'shift' || (kind === 'offset' && rival?.kind === 'shift')) {
    const [shift, offset] = kind === 'shift' ? [size, effect] : [rival!.size, size];
    const isAlike = rival?.kind === 'shift' || rival?.kind === 'offset';
    return says.shift(place, part, Math.abs(shift), Math.abs(offset), isAlike);
  }
  if (kind === 'drift') return says.drift(place, part, size);
  if (kind === 'lag') return says.lag(place, part, size, finding.fit.sd, effect);
  if (kind === 'heading') return says.heading(place, part, Math.abs(size));
  const other = finding.group.kind === 'day' ? complementOf(ties, finding.group) : undefined;
  const otherDay = other && nameOf(survey, other).name;
  return says['cross-offset'](place, part, size, otherDay, kind === 'offset', rival?.kind === 'heading');
}
