import { type DisplayUnits, fromMeters, METERS_PER, type StructureWord } from '../contract/index.ts';
import type { LakePlace } from './lake-place.ts';

const FACES: Partial<Record<StructureWord, string>> = {
  ledge: 'a ledge',
  'channel-edge': 'a channel edge',
  point: 'a point',
  'outside-turn': 'an outside turn',
  'inside-turn': 'an inside turn',
};
const CRESTS: Partial<Record<StructureWord, string>> = {
  hump: 'a hump',
  point: 'a point',
  saddle: 'a saddle',
};
const BEDS: Partial<Record<StructureWord, string>> = { hole: 'a hole', 'channel-edge': 'a channel' };

/** Maximum distance of a line that is mentioned, m: farther lines say nothing about the mark's ground. */
const WORTH_SAYING = 50 * METERS_PER.ft;

/**
 * Describes a place in words, such as "on the bank, 40 ft back from the lip of a ledge, on a ridge".
 *
 * @returns undefined when no line is within 50 ft and no area contains the place.
 */
export function placeWords(
  { line, area }: LakePlace,
  word: StructureWord | undefined,
  units: DisplayUnits,
): string | undefined {
  const form = area === undefined ? undefined : AREA_WORDS[area];
  if (line === undefined || line.distance > WORTH_SAYING) return form;
  const away = `${Math.round(fromMeters(line.distance, units))} ${units}`;
  const face = (word && FACES[word]) ?? 'a drop';
  const crest = (word && CRESTS[word]) ?? (area === 'hump' ? 'a hump' : 'a ridge');
  const bed = (word && BEDS[word]) ?? (area === 'hole' ? 'a hole' : 'a ditch');
  const at = {
    lip: {
      on: `on the lip of ${face}`,
      above: `on the bank, ${away} back from the lip of ${face}`,
      below: `on the face, ${away} out from the lip of ${face}`,
      beside: `${away} from the lip of ${face}`,
    },
    foot: {
      on: `at the foot of ${face}`,
      above: `on the face, ${away} up from the foot of ${face}`,
      below: `on the floor, ${away} out from the foot of ${face}`,
      beside: `${away} from the foot of ${face}`,
    },
    crest: sides(`on the crest of ${crest}`, `${away} from the crest of ${crest}`),
    thalweg: sides(`in the bed of ${bed}`, `${away} from the bed of ${bed}`),
  }[line.kind][line.side];
  const more = form === undefined || at.includes(` ${area}`) ? '' : `, ${form}`;
  return `${at}${more}${line.isInferred ? ' (drawn between passes: no pass saw it)' : ''}`;
}

const sides = (on: string, beside: string) => ({ on, above: beside, below: beside, beside });

const AREA_WORDS = {
  hump: 'on a hump',
  ridge: 'on a ridge',
  hole: 'in a hole',
  ditch: 'in a ditch',
  flat: 'on a flat',
} as const;
