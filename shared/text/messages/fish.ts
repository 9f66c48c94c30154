import { type DepthRange, type DisplayUnits, fromMeters } from '../../contract/index.ts';
import { ONE_END } from '../depth-roles.ts';
import type { FishNote } from '../fish-note.ts';
import { messages } from './make.ts';
import { FISH_THERE } from './prospect.ts';

const depthNumber = (meters: number, units: DisplayUnits): string =>
  fromMeters(meters, units)
    .toFixed(units === 'ft' ? 0 : 1)
    .replace(/\.0$/, '');

const depthText = (meters: number, units: DisplayUnits): string => `${depthNumber(meters, units)} ${units}`;

const bandText = ({ top, bottom }: DepthRange, units: DisplayUnits): string =>
  `${depthNumber(top, units)}-${depthText(bottom, units)}`;

const quoted = (words: string): string => `"${words.replace(/\s+/g, ' ')}"`;

/** Says which depths casts are planned for at a proposed place when no note gives the depth of the fish. */
export const proposedDepthText = (band: DepthRange, units: DisplayUnits): string =>
  `You have no catch logged here, and no note at similar marks gives a fish depth: planned on ${bandText(band, units)}, around the depth of the bottom here.`;

/**
 * Says what was taken from a mark's note, or why nothing was taken, and which depths casts are planned for.
 *
 * @param planned Depth band that casts are planned for, and its source.
 * @param hasText True when the mark has a comment or description.
 */
export function fishNoteText(
  note: FishNote,
  planned: { readonly band: DepthRange; readonly source: 'note' | 'option' | 'depth' },
  hasText: boolean,
  units: DisplayUnits,
): string {
  const isAtOthers = note.words?.startsWith(FISH_THERE) === true;
  if (planned.source === 'note' && isAtOthers)
    return `Fish ${bandText(planned.band, units)}, from your notes at the marks that this place resembles; you have no catch logged here.`;
  if (planned.source === 'note')
    return `Fish ${bandText(planned.band, units)}, from your note.${note.left === undefined ? '' : ` ${leftText(note.left, units)}.`}`;
  const on =
    planned.source === 'option'
      ? `on --fish-depth ${bandText(planned.band, units)}`
      : "on the mark's own depth";
  if (note.left?.reason === 'unclear')
    return `Planned ${on}: your note ${quoted(note.left.words)} ${unclearText(note.left, units)}.`;
  if (note.left !== undefined) return `${leftText(note.left, units)}: planned ${on}.`;
  return `${hasText ? 'No fish depth in your note' : 'No note'}: planned ${on}.`;
}

type Left = NonNullable<FishNote['left']>;

const unclearText = ({ thing }: Left, units: DisplayUnits): string =>
  thing === ONE_END
    ? `gives only one end of a range. Write both, such as "fish ${units === 'ft' ? '20-26 ft' : '6-8 m'}"`
    : 'may be a date, hours or a count. If that is the depth of the fish, write "fish" before the number and "ft" or "m" after it';

function leftText(left: Left, units: DisplayUnits): string {
  const { words, reason, thing } = left;
  const text = `Your note ${quoted(words)}`;
  switch (reason) {
    case 'no-fish':
      return `${text} says where no fish were`;
    case 'unclear':
      return `${text} ${unclearText(left, units)}`;
    default:
      return thing === 'distance'
        ? `${text} gives a distance or size, not the depth of the fish`
        : `${text} is about the ${thing}, not the fish`;
  }
}

/** Finds in a text of `fishNoteText` what the note is about, if it is not the fish; undefined otherwise. */
export const noteSubjectIn = (text: string): string | undefined =>
  / (is about [^,]*, not the fish|gives a distance or size)[^:;]*: planned/.exec(text)?.[1];

interface DepthInMark {
  /** Depth as written in the mark, and at the water level of the plan, m. */
  readonly written: number;
  readonly depth: number;
  /** The number in the mark if it has no unit and was read as meters. */
  readonly number?: number;
}

function markText({ written, depth, number }: DepthInMark, units: DisplayUnits): string {
  const [then, now] = [depthText(written, units), depthText(depth, units)];
  const about = [
    ...(number === undefined || units === 'm'
      ? []
      : [`${Number(number.toFixed(1))} without a unit, read as meters`]),
    ...(then === now ? [] : [`${now} at the water level of the plan`]),
  ];
  return about.length === 0 ? then : `${then} (${about.join('; ')})`;
}

export const fishMessages = {
  ...messages('fish', 'warning', {
    band: 'No casts: the mark is on dry ground at the water level of the plan, and nothing says how deep the fish are. Write their depth in the note, such as "fish 22-27 ft", or add --fish-depth 22-27ft.',
    /** @param isPlannedOn True when the plan uses the mark's depth. */
    'mark-depth': (mark: DepthInMark, passes: number, isPlannedOn: boolean, units: DisplayUnits) =>
      `The depth here may be wrong: the mark says ${markText(mark, units)}, but your sonar passes give ${depthText(passes, units)}.${isPlannedOn ? ' The plan uses the mark.' : ''} Idle over it once more.`,
  }),
  ...messages('fish', 'note', {
    /** @param written The number in the mark, which was first read as meters. */
    'mark-depth-unit': (written: number, passes: number, units: DisplayUnits) =>
      `The depth of this mark is read as feet: it says ${Number(written.toFixed(1))} without a unit, and your sonar passes give ${depthText(passes, units)} here.`,
  }),
};
