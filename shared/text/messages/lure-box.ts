import type { Diagnostic, Place } from '../../contract/diagnostic.ts';
import type { Observation } from '../../retrieve/lures.ts';

const error = (code: string, place: Place, message: string): Diagnostic => ({
  severity: 'error',
  code,
  message,
  place,
});

const feet = (meters: number): string => `${(meters / 0.3048).toFixed(1)} ft`;

export const columnsMissing = (file: string, header: readonly string[]): Diagnostic =>
  error(
    'lures/columns',
    { file, line: 1 },
    `Unexpected columns ${header.join(',')}, expected name,label_ft and optionally reaches_ft,cast_m,line_lb. Add the missing ones.`,
  );

export const columnUnit = (file: string, column: string, expected: readonly string[]): Diagnostic =>
  error(
    'lures/unit',
    { file, line: 1 },
    `Unexpected column ${JSON.stringify(column)}, expected one whose name says its unit: ${expected.join(', ')}. Rename it.`,
  );

export const boxEmpty = (file: string): Diagnostic =>
  error(
    'lures/empty',
    { file },
    'Unexpected lure box without lures, expected one lure a line. Add some, or leave --lures out.',
  );

export const nameMissing = (place: Place): Diagnostic =>
  error('lures/name', place, 'Unexpected empty name, expected a name for the lure. Add it.');

export const labelRange = (place: Place, found: string, least: number, most: number): Diagnostic =>
  error(
    'lures/label',
    place,
    `Unexpected labeled depth ${JSON.stringify(found)}, expected ${least} to ${most} ft. Give the depth printed on the lure's box.`,
  );

export const labelDiffers = (place: Place, name: string, line: number): Diagnostic =>
  error(
    'lures/label-differs',
    place,
    `Unexpected second labeled depth of ${JSON.stringify(name)}, expected that of line ${line}. Give one lure one label, or two lures two names.`,
  );

export const tooManyObservations = (place: Place, name: string): Diagnostic =>
  error(
    'lures/observations',
    place,
    `Unexpected third observation of ${JSON.stringify(name)}, expected one or two. Keep the two you trust most.`,
  );

export const observationIncomplete = (place: Place): Diagnostic =>
  error(
    'lures/observation',
    place,
    'Unexpected part of an observation, expected all of reaches_ft, cast_m and line_lb, or none. Fill in the others or empty all three.',
  );

export const reachesRange = (place: Place, found: string): Diagnostic =>
  error(
    'lures/reaches',
    place,
    `Unexpected depth ${JSON.stringify(found)}, expected more than 0. Mend the number.`,
  );

export const castRange = (place: Place, found: string, least: number, most: number): Diagnostic =>
  error(
    'lures/cast',
    place,
    `Unexpected cast ${JSON.stringify(found)}, expected ${least} to ${most} m. Mend the number.`,
  );

export const lineUnknown = (place: Place, found: string): Diagnostic =>
  error(
    'lures/line',
    place,
    `Unexpected line ${JSON.stringify(found)}, expected a test in lb such as 12, or a diameter such as 0.285mm, with nylon or braid after it if it is not fluorocarbon. Mend it.`,
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
    `Unexpected observation that ${JSON.stringify(name)} reaches ${feet(seen.depth)} on a ${seen.cast.toFixed(0)} m cast, expected ${feet(least)} to ${feet(most)} for any lure of that label. Check depth, cast, line and label.`,
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
    `Unexpected observation that ${JSON.stringify(name)} reaches ${feet(second.depth)} on a ${second.cast.toFixed(0)} m cast, expected about ${feet(reached)} after the one on line ${firstLine}. Check both, or keep the one you trust.`,
  );
