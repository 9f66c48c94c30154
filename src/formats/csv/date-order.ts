import { dateNumbers } from '../../../shared/text/index.ts';
import { headLines, roughFields } from './head-lines.ts';
import type { Sniffed } from './sniff-layout.ts';

/**
 * Order of day and month in the whole log, proved by a row with a day over 12. Undefined when no row proves an order,
 * or when rows prove both.
 */
export async function proveDateOrder(
  chunks: AsyncIterable<Uint8Array>,
  start: Sniffed,
): Promise<'dmy' | 'mdy' | undefined> {
  const { layout } = start;
  const column = layout.at.date >= 0 ? layout.at.date : layout.at.time;
  let carry: Uint8Array = new Uint8Array(0);
  let dayFirst = false;
  let monthFirst = false;
  const look = (bytes: Uint8Array, isWhole: boolean): number => {
    let next = 0;
    for (const line of headLines(bytes, isWhole)) {
      next = line.next;
      const numbers = dateNumbers(roughFields(line.text, layout.delimiter)[column] ?? '');
      if (numbers === undefined) continue;
      if (numbers[0] > 12 && numbers[0] <= 31 && numbers[1] <= 12) dayFirst = true;
      if (numbers[1] > 12 && numbers[1] <= 31 && numbers[0] <= 12) monthFirst = true;
    }
    return next;
  };
  for await (const chunk of chunks) {
    const bytes = Buffer.concat([carry, chunk]);
    carry = Uint8Array.from(bytes.subarray(look(bytes, false)));
  }
  look(carry, true);
  if (dayFirst === monthFirst) return undefined;
  return dayFirst ? 'dmy' : 'mdy';
}
