import type { DisplayUnits, FieldValues } from '../../contract/index.ts';
import { bearingText, depthRange, depthText, lengthText } from '../quantity.ts';
import { messages, plural } from './make.ts';

type Fields = Readonly<Partial<FieldValues>>;

/** Share by which the number of soundings must change for the soundings to be given as the reason. */
const OTHER_SOUNDINGS = 0.02;
/** Difference above which the depth of the fish or of the mark is given as the reason, m. */
const OTHER_DEPTH = 0.15;

const SEEN: Readonly<Record<string, string>> = {
  'one-pass': 'one pass there',
  edge: 'passes on one side only',
  sparse: 'a few passes there',
  'no-data': 'nothing there',
  ok: 'passes on all sides',
};

/** Says why a plan has changed: the logs, the fish or the mark's depth, or else a setting or the note. */
function reason(then: Fields, now: Fields, units: DisplayUnits): string {
  if (then.status !== undefined && now.status !== undefined && then.status !== now.status)
    return `the logs had ${SEEN[then.status]} then, and have ${SEEN[now.status]} now`;
  const { soundings: few, depth } = then;
  const { soundings: many, depth: depthNow } = now;
  if (few !== undefined && many !== undefined && Math.abs(many - few) > OTHER_SOUNDINGS * few)
    return `the logs had ${plural(few, 'depth')} there then, ${many} now${spacing(then, now, units)}`;
  // Fish at the depth of the mark change with it.
  const isByMark = [then, now].every(({ fish_source: source }) => source === 'depth');
  if (!isByMark && (differs(then.fish_top, now.fish_top) || differs(then.fish_bottom, now.fish_bottom))) {
    const [before, after] = [band(then, units), band(now, units)];
    if (before !== after) return `the plan was for fish at ${before} then, at ${after} now`;
  }
  if (depth !== undefined && depthNow !== undefined && differs(depth, depthNow)) {
    const [before, after] = [depthText(depth, units, ' '), depthText(depthNow, units, ' ')];
    if (before !== after) return `the mark was ${before} deep then, ${after} now`;
  }
  if (few === undefined || many === undefined) return 'probably the logs, a setting or your note has changed';
  return 'the logs have about as many depths there as then, so probably a setting or your note has changed';
}

const differs = (a: number | undefined, b: number | undefined): boolean =>
  Math.abs((a ?? 0) - (b ?? 0)) > OTHER_DEPTH;

const band = ({ fish_top: top, fish_bottom: bottom }: Fields, units: DisplayUnits): string =>
  top === undefined || bottom === undefined ? 'an unknown depth' : depthRange(top, bottom, units, ' ');

function spacing({ pass_spacing: then }: Fields, { pass_spacing: now }: Fields, units: DisplayUnits): string {
  if (then === undefined || now === undefined) return '';
  const [before, after] = [lengthText(then, units, ' '), lengthText(now, units, ' ')];
  return before === after ? '' : `, passes ${before} apart then and ${after} now`;
}

/** Messages about what has changed since the run that produced the input. @param name Name of the cast. */
export const castChanges = messages('cast', 'note', {
  /**
   * A cast turned, or its boat moved. @param from Earlier bearing, deg true, and distance that the boat
   * moved, m.
   * @param to Bearing now, deg true.
   */
  changed: (
    name: string,
    from: { readonly bearing: number; readonly moved: number },
    to: number,
    isTurned: boolean,
    [then, now]: readonly [Fields, Fields],
    units: DisplayUnits,
  ) => {
    const bearing = (value: number): string => bearingText(value, 'M', now.declination);
    const what = isTurned
      ? `turned from ${bearing(from.bearing)} to ${bearing(to)}`
      : `moved ${lengthText(from.moved, units, ' ')}`;
    return `the ${name} cast ${what}; ${reason(then, now, units)}.`;
  },
  'changed gone': (name: string, times: readonly [Fields, Fields], units: DisplayUnits) =>
    `the ${name} cast is gone; ${reason(...times, units)}.`,
});
