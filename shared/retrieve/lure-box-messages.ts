import { type Diagnostic, METERS_PER, type Place } from '../contract/index.ts';
import type { Observation } from './lures.ts';

const error = (code: string, place: Place, message: string): Diagnostic => ({
  severity: 'error',
  code,
  message,
  place,
});

const feet = (meters: number): string => `${(meters / METERS_PER.ft).toFixed(1)} ft`;

export const columnsMissing = (file: string, header: readonly string[]): Diagnostic =>
  error(
    'lures/columns',
    { file, line: 1 },
    `The columns are ${header.join(',')}, but a lure box needs name,label_ft and may have reaches_ft,cast_m,line_lb. Add the missing ones.`,
  );

export const columnUnit = (file: string, column: string, expected: readonly string[]): Diagnostic =>
  error(
    'lures/unit',
    { file, line: 1 },
    `Column ${JSON.stringify(column)} does not say its unit. Rename it ${expected.join(' or ')}.`,
  );

export const boxEmpty = (file: string): Diagnostic =>
  error('lures/empty', { file }, 'This lure box has no lures. Add one lure a line, or leave --lures out.');

export const nameMissing = (place: Place): Diagnostic =>
  error('lures/name', place, 'This lure has no name. Add one.');

export const labelRange = (place: Place, found: string, least: number, most: number): Diagnostic =>
  error(
    'lures/label',
    place,
    `Labeled depth ${JSON.stringify(found)} is not between ${least} and ${most} ft. Give the depth printed on the lure's box.`,
  );

export const labelDiffers = (place: Place, name: string, line: number): Diagnostic =>
  error(
    'lures/label-differs',
    place,
    `${JSON.stringify(name)} has another labeled depth on line ${line}. Give one lure one label, or two lures two names.`,
  );

export const tooManyObservations = (place: Place, name: string): Diagnostic =>
  error(
    'lures/observations',
    place,
    `${JSON.stringify(name)} has three observations, and two are used. Keep the two you trust most.`,
  );

export const observationIncomplete = (place: Place): Diagnostic =>
  error(
    'lures/observation',
    place,
    'An observation needs all of reaches_ft, cast_m and line_lb. Fill in the others, or empty all three.',
  );

export const reachesRange = (place: Place, found: string): Diagnostic =>
  error('lures/reaches', place, `Depth ${JSON.stringify(found)} is not more than 0. Correct it.`);

export const castRange = (place: Place, found: string, least: number, most: number): Diagnostic =>
  error(
    'lures/cast',
    place,
    `Cast ${JSON.stringify(found)} is not between ${least} and ${most} m. Correct it.`,
  );

export const lineUnknown = (place: Place, found: string): Diagnostic =>
  error(
    'lures/line',
    place,
    `Line ${JSON.stringify(found)} is neither a test in lb such as 12 nor a diameter such as 0.285mm. If it is not fluorocarbon, write nylon or braid after it.`,
  );

export const observationImpossible = (
  place: Place,
  name: string,
  seen: Observation,
  least: number,
  most: number,
): Diagnostic =>
  error(
    'lures/impossible',
    place,
    `${JSON.stringify(name)} cannot reach ${feet(seen.depth)} on a ${seen.cast.toFixed(0)} m cast: lures of that label reach ${feet(least)} to ${feet(most)}. Check depth, cast, line and label.`,
  );

export const observationsContradict = (
  place: Place,
  name: string,
  firstLine: number,
  second: Observation,
  reached: number,
): Diagnostic =>
  error(
    'lures/contradictory',
    place,
    `${JSON.stringify(name)} reaches ${feet(second.depth)} on a ${second.cast.toFixed(0)} m cast here, but about ${feet(reached)} by line ${firstLine}. Check both, or keep the one you trust.`,
  );
