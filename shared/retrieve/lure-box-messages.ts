import { METERS_PER } from '../contract/index.ts';
import { messages } from '../text/index.ts';
import type { Observation } from './lures.ts';

const feet = (meters: number): string => `${(meters / METERS_PER.ft).toFixed(1)} ft`;

export const lureBoxMessages = messages('lures', 'error', {
  columns: (header: readonly string[]) =>
    `The columns are ${header.join(',')}, but a lure box needs name,label_ft and may have reaches_ft,cast_m,line_lb. Rename or add what is missing.`,
  unit: (column: string, expected: readonly string[]) =>
    `The unit of column ${JSON.stringify(column)} is missing or not known. Rename the column to ${expected.slice(0, -1).join(', ')} or ${expected.at(-1)}.`,
  empty: 'This lure box has no lures. Add one lure a line, or leave --lures out.',
  name: 'This lure has no name. Add one.',
  label: (found: string, least: number, most: number) =>
    `Labeled depth ${JSON.stringify(found)} is not between ${least} and ${most} ft. Give the depth printed on the lure's box.`,
  'label-differs': (name: string, line: number) =>
    `${JSON.stringify(name)} has another labeled depth on line ${line}. Correct one of the two, or give the lures different names.`,
  observations: (name: string) =>
    `${JSON.stringify(name)} has more than two observations. Keep the two you trust most.`,
  observation:
    'An observation needs all of reaches_ft, cast_m and line_lb. Fill in what is missing, or leave all three empty.',
  reaches: (found: string) => `Depth ${JSON.stringify(found)} is not a number above 0. Correct it.`,
  cast: (found: string, least: number, most: number) =>
    `Cast ${JSON.stringify(found)} is not between ${least} and ${most} m. Correct it.`,
  line: (found: string) =>
    `Line ${JSON.stringify(found)} is not a test in lb such as 12, nor a diameter of 0.05 to 1 mm such as 0.285mm. Correct it; if it is not fluorocarbon, write nylon or braid after it.`,
  impossible: (name: string, seen: Observation, least: number, most: number) =>
    `${JSON.stringify(name)} at ${feet(seen.depth)} on a ${seen.cast.toFixed(0)} m cast does not fit its label: such lures reach ${feet(least)} to ${feet(most)} there. Check depth, cast, line and label.`,
  contradictory: (name: string, firstLine: number, second: Observation, reached: number) =>
    `${JSON.stringify(name)} reaches ${feet(second.depth)} on a ${second.cast.toFixed(0)} m cast here, but the depth on line ${firstLine} of the file implies about ${feet(reached)}. Check both, or keep the one you trust.`,
});
