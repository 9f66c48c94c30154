import type { Diagnostic, Survey } from '../../contract/index.ts';
import { metersPerDegree } from '../../geo/index.ts';
import { tieMessages as says } from '../../text/index.ts';
import { moveAlongCourse } from '../course.ts';
import { stepsOf } from '../steps.ts';
import type { Account } from './account.ts';
import { latencyOf } from './candidates.ts';
import type { Suspicion, TieSearch } from './finding.ts';
import { changedDepths, eachRow, logsOf } from './group.ts';
import { nameOf } from './part-name.ts';

/** Corrects late positions, shifted positions and drifts, each only if the user asked for it. */
export function correctionOf(
  { work }: Account,
  asked: Readonly<Record<'correctLag' | 'correctShift' | 'correctDrift', boolean>>,
): { readonly survey: Survey; readonly said: readonly Diagnostic[] } {
  let { survey } = work;
  const found = work.findings.filter((finding) => finding.kind !== 'unit');
  const said: Diagnostic[] = [];
  const lags = asked.correctLag ? latenciesOf(work, found) : [];
  if (lags.some((seconds) => seconds !== 0)) {
    survey = { ...survey, ...movedByLatency(survey, lags) };
    const files = survey.logs.map(({ file }) => file);
    said.push(says['lag corrected'](undefined, lags, files));
  }
  for (const finding of found) {
    const part = nameOf(survey, finding.group);
    if (finding.kind === 'shift' && asked.correctShift) {
      survey = { ...survey, ...movedBack(survey, finding) };
      said.push(says['shift corrected'](undefined, part, finding.size));
    }
    if (finding.kind === 'drift' && asked.correctDrift) {
      survey = { ...survey, ...withoutDrift(survey, finding) };
      said.push(says['drift corrected'](undefined, part, finding.size));
    }
  }
  return { survey, said };
}

const MIN_LAG = 0.2;
/** Minimum latency that is corrected, in standard errors. */
const SURE = 3;
/** Maximum standard error at which the latency fitted to a single log is used, s. */
const KNOWN = 0.25;

/**
 * Returns the latency of each log, s; 0 if it is too small or too uncertain to correct.
 *
 * The latency is fitted to the log alone if the standard error allows it (`KNOWN`), otherwise to all logs.
 * The latency in `found` is added, because `work.ties` no longer contains it.
 */
function latenciesOf(work: TieSearch, found: readonly Suspicion[]): number[] {
  const { survey } = work;
  const already = (log: number): number =>
    found.reduce((sum, { kind, group, size }) => {
      const isOf = group.kind === 'all' || (group.kind === 'file' && group.log === log);
      return kind === 'lag' && isOf ? sum + size : sum;
    }, 0);
  const all = latencyOf(work.ties, { kind: 'all' });
  const own = new Map(logsOf(work.ties).map((group) => [group.log, latencyOf(work.ties, group)]));
  return survey.logs.map((_, log) => {
    const one = own.get(log);
    const used = one !== undefined && one.fit.sd <= KNOWN ? one : all;
    if (used === undefined) return already(log);
    const seconds = already(log) + used.size;
    return Math.abs(seconds) >= Math.max(MIN_LAG, SURE * used.fit.sd) ? seconds : 0;
  });
}

/** Moves positions ahead along the track by the latency of their log. @param seconds Latency by log, s. */
export function movedByLatency(survey: Survey, seconds: readonly number[]): Pick<Survey, 'lat' | 'lon'> {
  const { east, north } = stepsOf(survey);
  const speed = (row: number): number => {
    const next = row + 1 < survey.count && survey.pass[row + 1] === survey.pass[row] ? row + 1 : row;
    const dt = next === row ? survey.time[row] - survey.time[row - 1] : survey.time[next] - survey.time[row];
    const way = Math.hypot(east[next], north[next]);
    return dt > 0 && dt < 60 ? way / dt : 0;
  };
  return moveAlongCourse(survey, (row) => [seconds[survey.log[row]] * speed(row), 0]);
}

function movedBack(survey: Survey, { group, size, toward = 0 }: Suspicion): Pick<Survey, 'lat' | 'lon'> {
  const lat = survey.lat.slice();
  const lon = survey.lon.slice();
  const angle = (toward * Math.PI) / 180;
  eachRow(survey, group, (row) => {
    const [perLat, perLon] = metersPerDegree(lat[row]);
    lat[row] -= (Math.abs(size) * Math.cos(angle)) / perLat;
    lon[row] -= (Math.abs(size) * Math.sin(angle)) / perLon;
  });
  return { lat, lon };
}

function withoutDrift(survey: Survey, { group, size }: Suspicion): Partial<Survey> {
  if (group.kind !== 'rows') return {};
  const { from, to } = group;
  const { time } = survey;
  const all = time[to - 1] - time[from];
  return changedDepths(survey, group, (depth, row) => {
    const share = all > 0 ? (time[row] - time[from]) / all : (row - from) / (to - from);
    return Math.max(0, depth - (Number.isNaN(share) ? 0 : size * (share - 0.5)));
  });
}
