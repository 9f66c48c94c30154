import { isWorthAPass } from '../../shared/bottom/index.ts';
import {
  type CastPlan,
  type DisplayUnits,
  type EnrichedWaypoint,
  type FieldDefinition,
  type FieldValues,
  fromMeters,
} from '../../shared/contract/index.ts';
import {
  bearingDigits,
  depthRange,
  lengthNumber,
  lengthText,
  lengthUnit,
  oddsText,
  percentOf,
  plural,
  proposalIn,
} from '../../shared/text/index.ts';
import { bearingWords, given, NBSP, sentence } from './figure-words.ts';

/** One line of a list of facts, as plain text. */
export type Fact = readonly [term: string, text: string];

export const known = (facts: readonly (readonly [term: string, text: string | undefined])[]): Fact[] =>
  facts.flatMap(([term, text = '']) => (text === '' ? [] : [[term, text] as const]));

type Fields = EnrichedWaypoint['fields'];

/** Lists what is known about a spot, with uncertainties, and why the rest is unknown. */
export function spotFacts(
  { fields }: EnrichedWaypoint,
  units: DisplayUnits,
  pluginFields: Readonly<Record<string, FieldDefinition>> = {},
): Fact[] {
  return known([
    ['Structure', structureWords(fields, units)],
    ['Depth', depthWords(fields, units)],
    ['Slope', slopeWords(fields)],
    ['Fish', fishWords(fields, units)],
    ['Sonar', soundingWords(fields, units)],
    ...Object.entries(pluginFields).map(
      ([name, definition]) => [name, pluginValue(fields[name], definition, units)] as const,
    ),
  ]);
}

/**
 * Writes the depth with its 95 % bounds, else with its standard deviation; with bounds, also the chance of a
 * missed form if another pass is worthwhile.
 */
function depthWords(fields: Fields, units: DisplayUnits): string {
  const { depth, depth_low: low, depth_high: high, missed_chance: missed = 0 } = fields;
  if (depth === undefined) return 'Unknown: no sonar near enough.';
  if (low === undefined || high === undefined)
    return `${depthWithSd(depth, fields.depth_sd, units)} at the mark.`;
  const [middle, least, most] = [depth, Math.max(0, low), high].map((value) =>
    fromMeters(value, units).toFixed(1),
  );
  const bounds = `${middle}${NBSP}${units} at the mark, 19 times in 20 from ${least} to ${most}.`;
  if (!isWorthAPass(missed)) return bounds;
  const pass = lengthText(fields.nearest_pass ?? 0, units);
  return `${bounds} ${oddsText(missed)} that your passes missed a form here; nearest pass ${pass}.`;
}

/**
 * Writes a depth with its standard deviation, such as `19.3 \u00b1 0.8 ft`; in whole units when the deviation
 * is 0.95 units or more. A depth without a deviation is in whole feet or tenths of a meter.
 *
 * @param depth m. @param sd Standard deviation, m.
 */
export function depthWithSd(depth: number, sd: number | undefined, units: DisplayUnits): string {
  const value = fromMeters(depth, units);
  if (sd === undefined || !Number.isFinite(sd))
    return `${value.toFixed(units === 'ft' ? 0 : 1)}${NBSP}${units}`;
  const deviation = fromMeters(sd, units);
  const decimals = deviation < 0.95 ? 1 : 0;
  return `${value.toFixed(decimals)} \u00b1 ${Math.max(deviation, 0.1).toFixed(decimals)}${NBSP}${units}`;
}

/** Writes a probability in words, from `very likely` down to `unclear, at best`. @param confidence 0 to 1. */
export function likelihood(confidence: number): string {
  if (confidence >= 0.85) return 'very likely';
  if (confidence >= 0.65) return 'likely';
  if (confidence >= 0.45) return 'perhaps';
  return 'unclear, at best';
}

/**
 * Writes the headline of a spot: `Likely a point (72 %), mark in 19 ft, falling 8\u00b0 toward 214\u00b0
 * magnetic`. The headline of a proposed place begins with the proposal.
 */
export function headline({ fields, waypoint }: EnrichedWaypoint, units: DisplayUnits): string {
  const parts: string[] = [];
  const proposal = proposalIn(waypoint);
  if (fields.structure !== undefined) parts.push(structureGuess(fields));
  if (fields.depth !== undefined) parts.push(`mark in ${depthWithSd(fields.depth, undefined, units)}`);
  // The headline leaves out a slope no greater than its standard deviation; the list of facts gives both.
  if (fields.slope !== undefined && !(Number(fields.slope_sd) >= fields.slope)) {
    const toward = given(fields.aspect, (aspect) => ` toward ${bearingWords(aspect, fields.declination)}`);
    parts.push(`falling ${fields.slope.toFixed(0)}\u00b0${toward}`);
  }
  const gap = STATUS_HEADLINES[fields.status ?? ''];
  if (gap !== undefined) parts.push(gap);
  return [proposal, sentence(parts.join(', '))].filter((text) => text !== undefined).join(' ');
}

const STATUS_HEADLINES: Readonly<Record<string, string>> = {
  sparse: 'too few passes for a structure',
  'one-pass': 'sonar along one line only, so no slope',
  edge: 'sounded on one side only',
  'no-data': 'no sonar here',
};

const article = (word: string): string => `${/^[aeiou]/.test(word) ? 'an' : 'a'} ${word.replace('-', ' ')}`;

/** Writes a structure word as a phrase: `a channel edge`, `flat ground`. */
const kindOf = (word: string): string =>
  word === 'flat' ? 'flat ground' : word === 'slope' ? 'an even slope' : article(word);

function structureGuess(fields: Fields): string {
  const word = kindOf(String(fields.structure));
  const confidence = fields.structure_confidence;
  return confidence === undefined ? word : `${likelihood(confidence)} ${word} (${percentOf(confidence)} %)`;
}

function structureWords(fields: Fields, units: DisplayUnits): string {
  if (fields.structure === undefined) return STRUCTURE_GAPS[fields.status ?? 'no-data'] ?? 'Not known.';
  const { structure_reason: reason, structure_part: part, lake_place: place } = fields;
  // When the reason gives the width of the structure, the size is not repeated.
  const size = reason?.includes('across') ? undefined : fields.structure_size;
  // The place relative to a line of the lake says more than the part of the structure.
  const where = place?.replaceAll(/(\d) (ft|m)\b/g, `$1${NBSP}$2`) ?? (part && `on its ${part}`);
  return [
    `${sentence(structureGuess(fields))}${given(fields.structure_runner_up, (word) => `; if not, ${kindOf(word)}`)}.`,
    given(size, (meters) => ` About ${lengthText(meters, units, NBSP)} across its shorter side.`),
    given(where, (words) => ` The mark is ${endStop(words)}`),
    given(reason, (words) => ` ${endStop(sentence(words))}`),
  ].join('');
}

const STRUCTURE_GAPS: Readonly<Record<string, string>> = {
  ok: 'No structure stands out.',
  sparse: 'Unknown: passes are too far apart to show it.',
  'one-pass': 'Unknown: your sonar here is along one line only.',
  edge: 'Unknown: sonar covers only one side of the mark.',
  'no-data': 'Unknown: no sonar near enough.',
};

/** Minimum slope of bottom that does not count as level, deg. */
const LEVEL = 1;

function slopeWords(fields: Fields): string {
  if (fields.slope === undefined) {
    return fields.status === 'one-pass'
      ? 'Unknown: one line of sonar shows the slope along it, not across it.'
      : 'Unknown: too few depths on both sides of the mark.';
  }
  const slope = `${fields.slope.toFixed(1)}\u00b0${given(fields.slope_sd, (sd) => ` \u00b1 ${sd.toFixed(1)}\u00b0`)}`;
  if (fields.aspect === undefined) {
    const why = fields.slope < LEVEL ? 'too flat' : 'too uncertain';
    return `${slope}: ${why} to tell which way it falls.`;
  }
  const sd = given(fields.aspect_sd, (deviation) => ` \u00b1 ${deviation.toFixed(0)}\u00b0`);
  return `${slope}, falling toward ${bothBearings(fields.aspect, fields.declination)}${sd}.`;
}

/** Writes a bearing as `214\u00b0 magnetic (221\u00b0 true)`; `221\u00b0 true` without a declination. */
function bothBearings(bearing: number, declination: number | undefined): string {
  const trueWords = `${bearingDigits(bearing)}\u00b0 true`;
  return declination === undefined ? trueWords : `${bearingWords(bearing, declination)} (${trueWords})`;
}

/** Writes what was read from the note, else the fish depths or `At the mark`; then the mark's own depth. */
function fishWords(fields: Fields, units: DisplayUnits): string {
  const { fish_top: top, fish_bottom: bottom, fish_source: source, fish_note: read } = fields;
  if (top === undefined || bottom === undefined) return 'No depth known to plan on.';
  const mark = given(
    fields.mark_depth,
    (depth) => ` The mark itself says ${depthWithSd(depth, undefined, units)}.`,
  );
  if (read !== undefined) return `${read}${mark}`;
  return source === 'depth'
    ? `At the mark.${mark}`
    : `${depthRange(top, bottom, units, NBSP, '\u2013')}.${mark}`;
}

function soundingWords(fields: Fields, units: DisplayUnits): string {
  if (fields.soundings === undefined || fields.soundings === 0) return 'None near enough.';
  const count = plural(fields.soundings, 'depth');
  if (fields.pass_spacing === undefined || fields.status === 'one-pass') return `${count} behind this.`;
  return `${count} behind this, passes about ${lengthText(fields.pass_spacing, units, NBSP)} apart.`;
}

function pluginValue(value: unknown, definition: FieldDefinition, units: DisplayUnits): string {
  if (typeof value !== 'number') return String(value ?? '');
  if (definition.unit === 'm')
    return `${fromMeters(value, units).toFixed(definition.decimals ?? 1)}${NBSP}${units}`;
  return `${value.toFixed(definition.decimals ?? 2)}${definition.unit === 'deg' ? '\u00b0' : ''}`;
}

/** Lists the facts of a cast: boat, bearing, length, landing, lure, contact, alternatives and wind. */
export function castFacts(
  plan: CastPlan,
  { declination }: Partial<FieldValues>,
  units: DisplayUnits,
): Fact[] {
  const { boat, landing, equalBearing, deeper, wind } = plan;
  const length = (meters: number): string => lengthText(meters, units, NBSP);
  return known([
    ['Sit in', depthWithSd(boat.depth, boat.depthSd, units)],
    ['Boat at', `${boat.lat.toFixed(5)}, ${boat.lon.toFixed(5)}`],
    ['Cast', `${bothBearings(plan.bearing, declination)}, ${length(plan.cast)}`],
    ['Lands in', depthWithSd(landing.depth, landing.depthSd, units)],
    ['Lure', `${plan.lure}, reaches ${depthWithSd(plan.lureDepth, undefined, units)} on this cast`],
    [plan.isSuspended ? 'Off bottom' : 'On bottom', contactWords(plan, units)],
    [
      'As good',
      equalBearing === undefined
        ? undefined
        : `casting ${bothBearings(equalBearing, declination)}: take the side that wind and boats leave you`,
    ],
    [
      'Or deeper',
      deeper &&
        `${deeper.lure}: ${length(deeper.contact)} on bottom, ${length(deeper.fishContact)} among the fish, but it digs in and snags more`,
    ],
    ['Wind', wind && WIND_WORDS[wind]],
  ]);
}

const WIND_WORDS = {
  into: 'the cast goes into it',
  across: 'across the cast',
  with: 'behind the cast',
} as const;

/** Writes the expected contact: `21 of 48 yd, in 11-19 ft; 12 +- 3 yd of it among the fish`. */
export function contactWords(plan: CastPlan, units: DisplayUnits): string {
  if (plan.isSuspended)
    return `the lure runs ${lengthText(plan.worth, units, NBSP)} at the fish's depth, over the mark; no bottom contact is needed`;
  const among = lengthWithSd(plan.fishContact, plan.fishContactSd, units);
  if (plan.contactDepths === undefined) {
    if (lengthNumber(plan.contact, units) === '0') return 'nowhere: the lure stays above the bottom';
    return (
      `this cast stays just above the bottom; casts a little longer or deeper touch it for about ${lengthText(plan.contact, units, NBSP)} on average,` +
      ` ${among} of that among the fish`
    );
  }
  const depths = depthRange(...plan.contactDepths, units, NBSP, '\u2013');
  return `${lengthNumber(plan.contact, units)} of ${lengthText(plan.cast, units, NBSP)}, in ${depths}; ${among} of it among the fish`;
}

/**
 * Writes a length with its standard deviation, such as `12 \u00b1 3 yd`; a deviation that rounds to 0 is
 * omitted.
 *
 * @param length m. @param sd Standard deviation, m.
 */
function lengthWithSd(length: number, sd: number, units: DisplayUnits): string {
  const spread = lengthNumber(sd, units);
  const text = lengthNumber(length, units);
  return `${spread === '0' ? text : `${text} \u00b1 ${spread}`}${NBSP}${lengthUnit(units)}`;
}

const endStop = (text: string): string => (/[.!?]$/.test(text) ? text : `${text}.`);
