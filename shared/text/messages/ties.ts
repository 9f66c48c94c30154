import { inKilometers, inMeters } from '../../contract/index.ts';
import { messages } from './make.ts';

export interface PartName {
  readonly kind: 'file' | 'day' | 'rows' | 'all';
  /** File, or day (`Saturday`, or `2024-06-01` if the days span more than a week); empty for `all`. */
  readonly name: string;
  readonly file?: string;
  /** Approximate first and last line in the file. */
  readonly lines?: readonly [first: number, last: number];
}

type Unit = keyof typeof UNITS;
interface UnitTaken {
  readonly readAs: Unit;
  readonly is: Unit;
  readonly factor: number;
}

const meters = (value: number): string => inMeters(Math.abs(value), 2);
/** Formats a number, rounded, with commas as thousands separators: `12,345`. */
export const grouped = (n: number): string =>
  Math.round(n)
    .toString()
    .replace(/\B(?=(\d{3})+$)/g, ',');

const UNITS = { m: 'meters', ft: 'feet', fm: 'fathoms' } as const;
const deeper = (size: number): string => (size > 0 ? 'deeper' : 'shallower');

/** Names the passes of a part, as the subject of a sentence. */
function passesOf({ kind, name, lines }: PartName): string {
  if (kind === 'day') return `${name}'s passes`;
  if (kind === 'rows') return `Rows ${grouped(lines![0])} to ${grouped(lines![1])} of ${name}`;
  return kind === 'file' ? name : 'The passes';
}
const reads = ({ kind }: PartName): string => (kind === 'file' ? 'reads' : 'read');

/** Messages about disagreements between passes or between logs and waypoints, and about corrections. */
export const tieMessages = {
  ...messages('soundings', 'warning', {
    'unit-mismatch': (part: PartName, { readAs, is, factor }: UnitTaken) => {
      const times =
        factor > 1 ? `${factor.toFixed(2)} times deeper` : `${(1 / factor).toFixed(2)} times shallower`;
      return `${passesOf(part)} ${reads(part)} ${times} than the other passes over the same bottom, because the depths are in ${UNITS[is]}, not ${UNITS[readAs]}. They are now read as ${UNITS[is]}. Check one depth you know.`;
    },
    /** @param more Number of other stretches of the file that were read in the wrong unit. */
    'unit-mismatch rows': (part: PartName, { readAs, is }: UnitTaken, more: number) =>
      `${passesOf(part)}${more === 0 ? '' : more === 1 ? ' and another stretch' : ` and ${more} other stretches`} are now read as ${UNITS[is]}, and the rest as ${UNITS[readAs]}: from one row to the next the depths change by the ratio of these units. Check one depth you know.`,
    /**
     * @param other Name of the other day when there are only two days.
     * @param isAligned True when the depths were changed to agree.
     * @param isHeading True when late positions, or an offset of the passes in one direction, would also
     *   explain the difference.
     */
    'cross-offset': (
      part: PartName,
      size: number,
      other: string | undefined,
      isAligned: boolean,
      isHeading: boolean,
    ) => {
      const than = other === undefined ? 'the other passes' : `${other}'s`;
      const late = isHeading
        ? '; so would late positions, because these passes run the opposite way to the others'
        : '';
      const whose = part.kind === 'file' ? 'Its' : 'Their';
      const done = isAligned
        ? ` ${whose} depths were changed to match ${other === undefined ? 'the others' : `${other}'s`}.`
        : '';
      return `Depths may be off by ${meters(size / 2)}: ${passesOf(part)} ${reads(part)} ${meters(size)} ${deeper(size)} than ${than} over the same bottom.${done} Another water level or a moved transducer would explain this${late}. Nothing here shows which depths are right. If the water level changed, --levels needs readings from both times.`;
    },
    drift: ({ name, file }: PartName, size: number) =>
      `Depths may be off by ${meters(size / 2)}: the same bottom reads ${meters(size)} ${deeper(size)} at the end of ${file === undefined ? 'this log' : name} than at the start. If the water was ${size < 0 ? 'falling' : 'rising'}, --levels needs readings from the start and the end of the log.`,
    /** @param isAlike True when an offset of the depths explains the disagreement about as well. */
    shift: (part: PartName, shift: number, depth: number, isAlike: boolean) => {
      const its = part.kind === 'file' ? 'its' : 'their';
      return `${passesOf(part)} ${part.kind === 'file' ? 'does' : 'do'} not agree with the other passes: ${its} positions are about ${inMeters(shift)} off, or ${its} depths ${meters(depth)}. ${
        isAlike
          ? 'On this slope both faults look the same. Check how the log was made.'
          : 'Wrong positions are more likely. Add --ties.correct-shift to move the positions back.'
      }`;
    },
    lag: (part: PartName, seconds: number, sd: number, effect: number) =>
      `Depths are off by about ${meters(effect)}: passes down a slope and passes up it read differently${part.file === undefined ? '' : ` in ${part.name}`}. The likely cause is positions that are ${Math.abs(seconds).toFixed(1)} s ${seconds > 0 ? 'late' : 'early'} (give or take ${Math.max(0.1, 2 * sd).toFixed(1)} s). Add --ties.correct-lag to correct the positions; it has no effect together with --ties.lag.`,
    heading: ({ name }: PartName, size: number) =>
      `Depths may be off by ${meters(size / 2)}: passes one way read ${meters(size)} deeper than passes the other way in ${name}. Late positions or two sonars in one log would explain this. Check the clock of the sonar, and which sonars wrote the log.`,
    /**
     * @param isSwapped True when the log would be at the waypoints with latitude and longitude swapped.
     * @param isOnly True when there are no other logs.
     */
    'no-overlap': (file: string, distance: number, isSwapped: boolean, isOnly: boolean) => [
      `${file} is ${inKilometers(distance)} from the nearest waypoint: ${isSwapped ? `latitude and longitude look swapped. Export the log again, or, if its columns are named lat and lon, ${isOnly ? 'add --map lat=lon,lon=lat' : `put "map: lat=lon,lon=lat" in ${file}.yaml`}.` : 'it is probably not from the same lake. Check that logs and waypoints belong together.'}`,
      isSwapped ? { repair: { setting: 'map' } } : {},
    ],
  }),
  ...messages('soundings', 'error', {
    'unit-change': (part: PartName, { readAs, is }: UnitTaken) =>
      part.lines === undefined
        ? `None of ${part.name} is used: some of its passes are in ${UNITS[is]} and some in ${UNITS[readAs]}. Split the file by unit, or leave the file out.`
        : `None of ${part.name} is used: from about row ${grouped(part.lines[0])} to row ${grouped(part.lines[1])} the depths are in ${UNITS[is]}, elsewhere in ${UNITS[readAs]}. Split the file there, or leave the file out.`,
  }),
  ...messages('soundings', 'note', {
    /** @param most Largest disagreement, m. @param share Contradicted share of the compared track, 0 to 1. */
    contradicted: (most: number, share: number) =>
      `Depths may be off along ${Math.max(1, Math.round(100 * share))} % of your track: one pass differs from the passes beside it by up to ${meters(most)}, as happens over weeds or bait, or where one pass missed a form. If a mark has a message about this, run another pass there.`,
    /** @param pass The pass that would tie the parts. @param count Number of passes needed for all parts. */
    untied: (
      parts: string,
      count: number,
      {
        isApart,
        pass,
      }: {
        readonly isApart: boolean;
        readonly pass: {
          readonly from: readonly number[];
          readonly to: readonly number[];
          readonly length: number;
        };
      },
    ) =>
      `A change of water level between ${parts} would not show: ${isApart ? 'no pass crosses from one to the other' : 'too few passes cross each other'}. Run one pass from ${[pass.from, pass.to].map(([lon, lat]) => `${lat.toFixed(5)}, ${lon.toFixed(5)}`).join(' to ')}, ${inMeters(pass.length)} long${count > 1 ? ` (the first of ${count} such passes)` : ''}. downslope check --passes FILE.gpx writes the pass as a route.`,
    'lag given': (seconds: number) =>
      `Positions are moved ${seconds < 0 ? 'back' : 'ahead'} along the track by ${Math.abs(seconds).toFixed(2)} s of travel, as asked.`,
    'lag corrected': (seconds: readonly number[], files: readonly string[]) => {
      const was = (own: number) => `${Math.abs(own).toFixed(2)} s ${own > 0 ? 'late' : 'early'}`;
      const each = seconds.flatMap((own, log) => (own === 0 ? [] : [`${files[log]} was ${was(own)}`]));
      const isOne = files.length > 1 && seconds.every((own) => own === seconds[0]);
      return `Positions are moved along the track, as asked: ${isOne ? `all were ${was(seconds[0])}` : each.join(', ')}.`;
    },
    'shift corrected': ({ name }: PartName, shift: number) =>
      `Positions of ${name} are moved back by ${inMeters(Math.abs(shift))}, as asked.`,
    'drift corrected': ({ name }: PartName, size: number) =>
      `A change of level by ${meters(size)} over ${name} is taken out of its depths, as asked. The middle of the log is taken as right.`,
  }),
};
