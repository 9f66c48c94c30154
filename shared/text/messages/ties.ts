import { inKilometers, inMeters } from '../../contract/index.ts';
import { messages } from './make.ts';

export interface PartName {
  readonly kind: 'file' | 'day' | 'rows' | 'all';
  /** File, or day: `Saturday`, or `2024-06-01` if the days span more than a week. */
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
/** A number with a comma between thousands. */
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

/** Messages about disagreements between passes, one cause each: consequence, cause, what to do. */
export const tieMessages = {
  ...messages('soundings', 'warning', {
    'unit-mismatch': (part: PartName, { readAs, is, factor }: UnitTaken) => {
      const times =
        factor > 1 ? `${factor.toFixed(2)} times deeper` : `${(1 / factor).toFixed(2)} times shallower`;
      const it = part.kind === 'file' ? 'it is' : 'they are';
      const was = part.kind === 'file' ? 'It is' : 'They are';
      return `${passesOf(part)} ${reads(part)} ${times} than the other passes over the same bottom: ${it} in ${UNITS[is]}, not ${UNITS[readAs]}. ${was} now read as ${UNITS[is]}. Check one depth you know.`;
    },
    /** @param more Number of other such stretches in the same file. */
    'unit-mismatch rows': (part: PartName, { readAs, is }: UnitTaken, more: number) =>
      `${passesOf(part)}${more > 0 ? ` and ${more} other stretches` : ''} are in ${UNITS[is]}, the rest in ${UNITS[readAs]}: the depths change by that ratio in one step. They were read as ${UNITS[is]}. Check one depth you know.`,
    /**
     * @param other Name of the other day when there are only two days.
     * @param isAligned True when the depths were changed to agree.
     * @param isHeading True when late positions or an offset of every other pass would explain the difference
     *   too.
     */
    'cross-offset': (
      part: PartName,
      size: number,
      other: string | undefined,
      isAligned: boolean,
      isHeading: boolean,
    ) => {
      const than = other === undefined ? 'the other passes' : `${other}'s`;
      const cause = isHeading
        ? 'water level? transducer? late positions, as the passes run the other way?'
        : 'water level? transducer?';
      const whose = part.kind === 'file' ? 'Its' : 'Their';
      const done = isAligned
        ? ` ${whose} depths were changed to match ${other === undefined ? 'the others' : `${other}'s`}.`
        : '';
      return `Depths may be off by ${meters(size / 2)}. ${passesOf(part)} ${reads(part)} ${meters(size)} ${deeper(size)} than ${than} over the same bottom, and the program cannot tell which is right (${cause}).${done}`;
    },
    drift: ({ name, file }: PartName, size: number) =>
      `Depths may be off by ${meters(size / 2)}: the same bottom reads ${meters(size)} ${deeper(size)} at the end of ${file === undefined ? 'this log' : name} than at the start. Was the water ${size < 0 ? 'falling' : 'rising'}? Then give the levels with --levels.`,
    /** @param isAlike True when an offset of the depths explains the disagreement about as well. */
    shift: ({ name }: PartName, shift: number, depth: number, isAlike: boolean) =>
      `${name} disagrees with the rest: its positions are about ${inMeters(shift)} off, or its depths ${meters(depth)}. ${
        isAlike
          ? 'On this slope the two look the same.'
          : 'The positions fit better; add --ties.correct-shift to move them back.'
      } Check how the file was made.`,
    lag: (part: PartName, seconds: number, sd: number, effect: number) =>
      `Depths are off by about ${meters(effect)}: passes one way read deeper down a slope than passes the other way${part.file === undefined ? '' : ` in ${part.name}`}. Positions are ${Math.abs(seconds).toFixed(1)} s ${seconds > 0 ? 'late' : 'early'} (give or take ${(2 * sd).toFixed(1)} s), or every other pass is off. Add --ties.correct-lag to correct the positions.`,
    heading: ({ name }: PartName, size: number) =>
      `Depths may be off by ${meters(size / 2)}: passes one way read ${meters(size)} deeper than passes the other way in ${name}. Positions are late, or every other pass is off. Check the clock of the sonar, and whether two sonars wrote this log.`,
    /** @param isSwapped True when the log would be at the waypoints with latitude and longitude swapped. */
    'no-overlap': (file: string, distance: number, isSwapped: boolean) => [
      `${file} is ${inKilometers(distance)} from the nearest waypoint: it cannot be from the same lake. ${isSwapped ? 'Latitude and longitude swapped? Add --map lat=NAME,lon=NAME.' : 'Check the files.'}`,
      isSwapped ? { repair: { setting: 'map' } } : {},
    ],
  }),
  ...messages('soundings', 'error', {
    'unit-change': (part: PartName, { readAs, is }: UnitTaken) =>
      part.lines === undefined
        ? `None of ${part.name} is used: some of its passes are in ${UNITS[is]}, some in ${UNITS[readAs]}. Split the file by unit, or leave it out.`
        : `None of ${part.name} is used: somewhere near rows ${grouped(part.lines[0])} to ${grouped(part.lines[1])} the depths change from ${UNITS[readAs]} to ${UNITS[is]}. Split the file there, or leave it out.`,
  }),
  ...messages('soundings', 'note', {
    /** @param most Largest disagreement, m. @param share Share of the track. */
    contradicted: (most: number, share: number) =>
      `Over ${Math.max(1, Math.round(100 * share))} % of the track one pass reads up to ${meters(most)} off what the passes beside it read: weed, bait, or a form that one of them missed. Marks there say so; run those places again.`,
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
      `${isApart ? 'Nothing in this survey crosses' : 'Too little in this survey crosses'} between ${parts}: a change of level between them would not show. Run one pass across, from ${[pass.from, pass.to].map(([lon, lat]) => `${lat.toFixed(5)} ${lon.toFixed(5)}`).join(' to ')}, ${inMeters(pass.length)} long${count > 1 ? ` (the first of ${count})` : ''}. "downslope check --passes" draws it.`,
    'lag given': (seconds: number) => `Positions moved by ${seconds.toFixed(2)} s of travel, as asked.`,
    'lag corrected': (seconds: readonly number[], files: readonly string[]) => {
      const isOne = seconds.every((own) => own === seconds[0]);
      const each = seconds.map((own, log) => `${files[log]} ${own.toFixed(2)} s`).join(', ');
      return `Positions were late by ${isOne ? `${seconds[0].toFixed(2)} s` : each}: moved accordingly, as asked.`;
    },
    'shift corrected': ({ name }: PartName, shift: number) =>
      `Positions of ${name} were ${inMeters(Math.abs(shift))} off: moved back, as asked.`,
    'drift corrected': ({ name }: PartName, size: number) =>
      `The level changed by ${meters(size)} over ${name}: taken out, as asked. The middle of the log counts as right.`,
  }),
};
