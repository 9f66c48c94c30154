import { type BottomModel, STRUCTURE_WORDS } from './bottom-model.ts';
import type { CastPlan, EarlierCasts } from './cast-plan.ts';
import { AREA_KINDS, LINE_KINDS } from './lake-bottom.ts';

/** Unit of a field. Decides the suffix of its column, the conversion, and `unit` in the GPX extension. */
export type FieldUnit = 'm' | 'deg' | 'count' | 'ratio' | 'degree-coordinate' | 'none';

/** Definition of a field. Its table column, GPX element and help are made from the definition. */
export interface FieldDefinition {
  readonly type: 'number' | 'text' | 'word';
  readonly unit: FieldUnit;
  /** Number of decimals written; the same for a length in meters and in feet. */
  readonly decimals?: number;
  /** All possible values, for the type `word`. */
  readonly words?: readonly string[];
  /** One sentence. */
  readonly help: string;
}

const number = (unit: FieldUnit, decimals: number, help: string) =>
  ({ type: 'number', unit, decimals, help }) as const;
const text = (help: string) => ({ type: 'text', unit: 'none', help }) as const;
const word = <const W extends readonly string[]>(words: W, help: string) =>
  ({ type: 'word', unit: 'none', words, help }) as const;

const CAST_NAMES = ['deep-side', 'shallow-side', 'opposite-deep-side', 'any-side', 'opposite-side'] as const;
export type CastName = (typeof CAST_NAMES)[number];

const LINE_SIDES = ['on', 'above', 'below', 'beside'] as const;

const STRUCTURE_PARTS = ['top', 'upper edge', 'side', 'base', 'floor'] as const;

/** Fields of one of the two casts of a waypoint. @param words Name of the cast in the help texts. */
const sideDefinitions = (words: string) =>
  ({
    lat: number('degree-coordinate', 7, `Latitude of the ${words} boat position.`),
    lon: number('degree-coordinate', 7, `Longitude of the ${words} boat position.`),
    depth: number('m', 2, `Modeled depth at the ${words} boat position.`),
    cast_true: number('deg', 0, `True bearing of the cast from the ${words} boat position.`),
    cast_mag: number('deg', 0, `Magnetic bearing of the cast from the ${words} boat position.`),
    cast: number('m', 1, `Length of the cast from the ${words} boat position.`),
    landing_lat: number('degree-coordinate', 7, `Latitude of the landing of the ${words} cast.`),
    landing_lon: number('degree-coordinate', 7, `Longitude of the landing of the ${words} cast.`),
    landing_depth: number('m', 2, `Modeled depth at the landing of the ${words} cast.`),
    contact: number('m', 1, `Length of the ${words} retrieve on bottom.`),
    fish_contact: number('m', 1, `Length of the ${words} retrieve on bottom among the fish.`),
    fish_contact_sd: number(
      'm',
      1,
      `Standard deviation of the length of the ${words} retrieve on bottom among the fish.`,
    ),
    worth: number(
      'm',
      1,
      `Length that the ${words} cast is ranked by: on bottom among the fish, or through fish off the bottom.`,
    ),
    equal_true: number(
      'deg',
      0,
      `True bearing of another side that is as good as the ${words} cast, where there is one.`,
    ),
    kind: word(CAST_NAMES, `Where the boat of the ${words} cast sits.`),
  }) as const;

type SideDefinitions = ReturnType<typeof sideDefinitions>;
export type SideField = keyof SideDefinitions;
export const SIDE_FIELDS = Object.keys(sideDefinitions('')) as SideField[];

const side = <const S extends string>(name: S, words: string) =>
  Object.fromEntries(
    Object.entries(sideDefinitions(words)).map(([key, value]) => [`${name}_${key}`, value]),
  ) as unknown as { readonly [K in SideField as `${S}_${K}`]: SideDefinitions[K] };

/** Fields of the built-in plugins in the order of the table, by column name without the unit. */
export const FIELDS = {
  status: word(
    ['ok', 'sparse', 'one-pass', 'edge', 'no-data'],
    'What the soundings support: ok; sparse (slope but no structure); one-pass (no slope); edge (soundings on one side only); no-data.',
  ),
  soundings: number('count', 0, 'Number of soundings used.'),
  pass_spacing: number('m', 1, 'Estimated distance between passes near the waypoint.'),
  depth: number('m', 2, "Modeled depth at the waypoint, on the plan's water level."),
  depth_sd: number('m', 2, 'Standard deviation of the depth.'),
  depth_low: number('m', 2, 'The depth is no less than this 39 times in 40.'),
  depth_high: number('m', 2, 'The depth is no more than this 39 times in 40.'),
  pass_depth: number('m', 2, 'Depth from the passes alone, given when the mark states a depth too.'),
  pass_depth_sd: number('m', 2, 'Standard deviation of the depth from the passes alone.'),
  missed_chance: number(
    'ratio',
    2,
    'Chance that the passes missed a form of the bottom at the waypoint, 0 to 1.',
  ),
  nearest_pass: number('m', 1, 'Distance to the nearest pass.'),
  slope: number('deg', 1, 'Angle of the bottom from horizontal.'),
  slope_sd: number('deg', 1, 'Standard deviation of the slope.'),
  aspect: number('deg', 0, 'True bearing of steepest descent, toward deeper water.'),
  aspect_sd: number('deg', 0, 'Standard deviation of the aspect.'),
  structure: word(STRUCTURE_WORDS, 'What the bottom is within about one cast of the waypoint.'),
  structure_confidence: number('ratio', 2, 'Probability of the structure word, 0 to 1.'),
  structure_runner_up: word(STRUCTURE_WORDS, 'The next likely structure word.'),
  structure_size: number('m', 0, 'Extent of the structure across its shortest side.'),
  structure_part: word(STRUCTURE_PARTS, 'The part of the structure that the waypoint is on.'),
  structure_reason: text('Reason for the structure word, as text.'),
  lake_line: word(LINE_KINDS, 'Nearest line of the lake within 40 m.'),
  lake_line_distance: number('m', 0, 'Distance to the nearest line of the lake.'),
  lake_line_side: word(
    LINE_SIDES,
    'Side of the nearest line that the waypoint is on: on it, above or below it on the slope, or beside it.',
  ),
  lake_area: word(AREA_KINDS, 'Form of the lake that the waypoint is on.'),
  lake_place: text('Where the waypoint is on the lake, as text: part and distance.'),
  fish_top: number('m', 2, 'Top of the depth band planned for.'),
  fish_bottom: number('m', 2, 'Bottom of the depth band planned for.'),
  fish_source: word(
    ['note', 'option', 'depth'],
    "Source of the depth band planned for: the waypoint's text, the option, or the waypoint's own depth.",
  ),
  fish_note: text("What was taken from the waypoint's note, or why nothing was, as text."),
  mark_depth: number('m', 2, 'Depth that the waypoint itself states, in a separate element or in its text.'),
  declination: number('deg', 1, 'Magnetic declination at the waypoint, east positive.'),
  lure: text('Chosen lure, by its labeled depth or its name in the lure box.'),
  lure_depth: number('m', 2, 'Greatest depth that the lure reaches on the first cast.'),
  ...side('downslope', 'deep-side'),
  ...side('upslope', 'second'),
  next_angles: text('What to try when the first casts go quiet, in order, as text.'),
} as const satisfies Record<string, FieldDefinition>;

type ValueOf<D> = D extends { readonly type: 'number' }
  ? number
  : D extends { readonly type: 'word'; readonly words: readonly (infer W)[] }
    ? W
    : string;

/** Fields that plugins pass to each other, not shown in the table. */
export interface InternalFields {
  readonly bottom: BottomModel;
  readonly earlier: EarlierCasts;
  /** Cast from the deep side, or from any side for level ground or suspended fish. */
  readonly downslope: CastPlan;
  /** Cast from the shallow side, or from the side opposite `downslope`. */
  readonly upslope: CastPlan;
  readonly angles: readonly CastPlan[];
}

export const INTERNAL_FIELDS = {
  bottom: 'Modeled bottom around the waypoint.',
  earlier: 'Casts of an earlier run for this waypoint.',
  downslope: 'Cast plan of the deep side.',
  upslope: 'Cast plan of the shallow side.',
  angles: 'Next angles, in order.',
} as const satisfies Record<keyof InternalFields, string>;

export type FieldValues = {
  readonly [K in keyof typeof FIELDS]: ValueOf<(typeof FIELDS)[K]>;
} & InternalFields;

export type FieldName = keyof FieldValues;
