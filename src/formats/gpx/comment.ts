import type { CastPlan, DisplayUnits, FieldValues } from '../../../shared/contract/index.ts';
import {
  type BearingReference,
  bearingText,
  depthRange,
  depthText,
  lengthText,
  noteSubjectIn,
  percentOf,
} from '../../../shared/text/index.ts';
import { toAscii } from '../table/index.ts';

/** Maximum length of a comment, characters; chosen so that most chartplotters display all of it. */
const COMMENT_LENGTH = 80;

/** Minimum standard deviation, m, that is written after a depth (as `+-`); chosen, about 1.5 ft. */
const VAGUE_DEPTH_SD = 0.45;

interface BearingStyle {
  readonly reference: BearingReference;
  /** Magnetic declination, deg, east positive. Without a declination all bearings are true. */
  readonly declination?: number;
  /** Maximum length of a comment on the chartplotter, characters. Values of 80 or more have no effect. */
  readonly room?: number;
}

/**
 * Formats the comment of a boat position: depth under the boat, cast, depth at the landing, lure, and the
 * depths at which the lure is on bottom. If the lure stays off bottom, its own depth comes last instead.
 *
 * @param where Side of the boat, such as `shallow side`; nothing is written about the side if empty.
 * @returns Plain ASCII, at most 80 characters. A long lure name is cut; depths, bearing and length are not.
 * With `room` below 80, the lure and its depths come first, the landing is left out, and so are the boat and
 * then the cast if they do not fit.
 */
export function formatCastComment(
  plan: CastPlan,
  units: DisplayUnits,
  style: BearingStyle,
  where = '',
): string {
  const bearing = bearingText(plan.bearing, style.reference, style.declination);
  if (style.room !== undefined && style.room < COMMENT_LENGTH) {
    const depths = plan.contactDepths
      ? depthRange(...plan.contactDepths, units)
      : `to ${depthText(plan.lureDepth, units)}`;
    const lure = cut(lureName(plan.lure), style.room - depths.length - 1);
    return fitting(
      [
        `${depths} ${lure}`.trimEnd(),
        `cast ${bearing} ${lengthText(plan.cast, units)}`,
        `boat ${depthText(plan.boat.depth, units)}${where === '' ? '' : ` ${where}`}`,
      ],
      ', ',
      style.room,
    );
  }
  const head =
    `Boat ${depthText(plan.boat.depth, units)}${where === '' ? '' : ` ${where}`}, cast ${bearing} ${lengthText(plan.cast, units)}` +
    ` to ${depthText(plan.landing.depth, units)}, `;
  const lure = lureName(plan.lure);
  const tails = plan.contactDepths
    ? ['on bottom', 'touch'].map((word) => `, ${word} ${depthRange(...plan.contactDepths!, units)}`)
    : [`, off bottom, lure to ${depthText(plan.lureDepth, units)}`];
  const room = COMMENT_LENGTH - head.length;
  const tail = tails.find(({ length }) => lure.length + length <= room) ?? tails[0];
  return head + cut(lure, room - tail.length) + tail;
}

/** Shortens `18 ft diver` to `18ft diver`, in ASCII. */
const lureName = (lure: string): string => toAscii(lure).replace(/(\d) ft\b/g, '$1ft');

const cut = (text: string, length: number): string => text.slice(0, Math.max(0, length)).trimEnd();

/** Joins as many parts, from the first on, as fit into `room`. The first part always stays. */
function fitting(parts: readonly string[], gap: string, room: number): string {
  const kept = [...parts];
  while (kept.length > 1 && kept.join(gap).length > room) kept.pop();
  return kept.join(gap);
}

/**
 * Formats one line about the waypoint itself: structure, depth, slope, missing data, the fish, and other
 * bearings for a cast.
 *
 * Bearings are magnetic when the fields include the declination, otherwise true.
 *
 * @param room Maximum length of a comment on the chartplotter, characters. Below 80, the fish come first; the
 * caller shortens the comment.
 * @returns Plain ASCII, at most 80 characters.
 */
export function formatWaypointComment(
  fields: Partial<FieldValues>,
  units: DisplayUnits,
  room = COMMENT_LENGTH,
): string {
  const bottom = [structureText(fields), markDepth(fields, units), slopeText(fields)].filter(
    (part) => part !== '',
  );
  const fish = fishText(fields, units);
  const found = [bottom.join(', '), gapText(fields)];
  const parts = room < COMMENT_LENGTH ? [fish, ...found] : [...found, fish];
  // Parts are kept whole, because half a number would read as another number.
  const texts = [...parts, ...otherCasts(fields)].filter((part) => part !== '');
  return cut(fitting(texts, '; ', COMMENT_LENGTH), COMMENT_LENGTH);
}

function structureText(fields: Partial<FieldValues>): string {
  if (fields.structure === undefined) return '';
  const word = fields.structure[0].toUpperCase() + fields.structure.slice(1);
  if (fields.structure_confidence === undefined) return word;
  return `${word} ${percentOf(fields.structure_confidence)}%`;
}

function markDepth(fields: Partial<FieldValues>, units: DisplayUnits): string {
  if (fields.depth === undefined) return '';
  const sd = fields.depth_sd;
  const vague = sd !== undefined && sd >= VAGUE_DEPTH_SD ? `+-${depthText(sd, units)}` : '';
  return `${depthText(fields.depth, units)}${vague}`;
}

function slopeText(fields: Partial<FieldValues>): string {
  if (fields.slope === undefined) return '';
  const slope = `slope ${Math.round(fields.slope)}deg`;
  if (fields.aspect === undefined) return slope;
  return `${slope} to ${bearingText(fields.aspect, 'M', fields.declination)}`;
}

/** Says what the soundings cannot show, so that a missing part is not taken for a result. */
function gapText(fields: Partial<FieldValues>): string {
  switch (fields.status) {
    case 'no-data':
      return 'no sonar here';
    case 'one-pass':
      return 'one pass: no slope';
    case 'sparse':
      return 'few passes: no structure';
    case 'edge':
      return 'one side only';
    default:
      return '';
  }
}

/**
 * Formats the depths of the fish. If the plan uses the mark's own depth because the depth in the note is of
 * something else, says that instead, since the angler may rely on the note.
 */
function fishText(fields: Partial<FieldValues>, units: DisplayUnits): string {
  const { fish_top: top, fish_bottom: bottom, fish_source: source } = fields;
  if (top === undefined || bottom === undefined) return '';
  if (source === 'depth') {
    const left = noteSubjectIn(fields.fish_note ?? '');
    return left === undefined ? '' : `note ${left}`;
  }
  return `fish ${depthRange(top, bottom, units)}${source === 'note' ? ' from your note' : ''}`;
}

function otherCasts({ downslope, angles = [], declination }: Partial<FieldValues>): string[] {
  const bearings = (list: readonly number[]): string =>
    list.map((bearing) => bearingText(bearing, 'M', declination)).join(' ');
  const equal = downslope?.equalBearing;
  const next = angles.slice(0, 2).map(({ bearing }) => bearing);
  return [
    ...(equal === undefined ? [] : [`cast ${bearings([equal])} as good`]),
    ...(next.length === 0 ? [] : [`next ${bearings(next)}`]),
  ];
}
