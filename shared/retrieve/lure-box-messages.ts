import { messages, quote } from '../text/index.ts';

/** A cell that should have a length: its text, and the name and unit of its column. */
export interface LengthFound {
  readonly text: string;
  readonly column: string;
  readonly unit: string;
}

const lengthProblem = (what: string, { text, column, unit }: LengthFound, expected: string): string =>
  `${what}${text === '' ? ' is missing' : `, ${quote(text)}, cannot be used`}. Write a number ${expected} in column ${column}, in ${unit} but without the unit.`;

/** What the columns hold that a lure box needs. */
const NEEDED = { name: 'the name of each lure', label_ft: 'the depth printed on its box, in ft,' } as const;

export const lureBoxMessages = messages('lures', 'error', {
  /** @param missing Columns that a lure box needs and this file lacks, one or two. */
  columns: (header: readonly string[], missing: readonly (keyof typeof NEEDED)[]) =>
    `No lures are read: ${missing.length === 1 ? `column ${missing[0]} is` : `columns ${missing.join(' and ')} are`} missing, and the file has only ${header.join(',')}. Write ${missing.map((column) => `${NEEDED[column]} in column ${column}`).join(', and ')}.`,
  unit: (column: string, expected: readonly string[]) =>
    `The unit of column ${JSON.stringify(column)} is missing or not known. Give its values in one of these units, and rename the column to match: ${expected.slice(0, -1).join(', ')} or ${expected.at(-1)}.`,
  empty: 'This lure box has no lures. Add one lure a line, or leave --lures out.',
  name: 'This lure has no name. Add one.',
  label: (found: LengthFound, least: number, most: number) =>
    lengthProblem("The depth printed on the lure's box", found, `from ${least} to ${most}`),
  'label-differs': (name: string, line: number) =>
    `${JSON.stringify(name)} has a different labeled depth on line ${line}. Correct one of the two, or give the lures different names.`,
  observations: (name: string) =>
    `${JSON.stringify(name)} has more than two rows with a depth reached. Keep the two you trust most.`,
  observation:
    'The depth that a lure reached is of use only with the cast and the line (columns such as reaches_ft, cast_m and line_lb). Fill in what is missing, or leave all three empty.',
  reaches: (found: LengthFound) => lengthProblem('The depth reached', found, 'above 0, such as 15.5,'),
  cast: (found: LengthFound, least: number, most: number) =>
    lengthProblem('The length of the cast', found, `from ${least} to ${most}`),
  line: (found: string) =>
    `The line, ${quote(found)}, cannot be used. Write its test, such as 12lb, or its diameter, such as 0.285mm; it must be 0.05 to 1 mm thick. If it is not fluorocarbon, write nylon (for mono) or braid after it.`,
  /** Lengths are in the units of the columns. */
  impossible: (name: string, depth: string, cast: string, least: string, most: string) =>
    `${JSON.stringify(name)} at ${depth} on a cast of ${cast} does not fit its label: such lures reach ${least} to ${most} on that cast. Check depth, cast, line and label.`,
  contradictory: (name: string, firstLine: number, depth: string, cast: string, reached: string) =>
    `${JSON.stringify(name)} reaches ${depth} on a cast of ${cast} here, but by line ${firstLine} of the file it would reach about ${reached}. Check both, or keep the one you trust.`,
});
