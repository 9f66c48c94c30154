import { short } from './svg.ts';

export type PathWriter = ReturnType<typeof pathWriter>;

/**
 * Makes a drawing context for d3-shape that writes path data; `text` returns the data. Coordinates are
 * relative with one decimal, which takes about half the length of absolute coordinates. Each step starts from
 * the rounded end of the previous step, so rounding errors do not accumulate.
 */
export function pathWriter() {
  let data = '';
  let command = '';
  let [x0, y0] = [0, 0];
  let start = [0, 0];
  const write = (letter: string, numbers: readonly number[]) => {
    // No space is needed before a minus sign, or before a point when the previous number also has a point.
    const text = numbers
      .map((number) => short(number))
      .reduce((before, next) =>
        next.startsWith('-') || (next.startsWith('.') && /\.\d*$/.test(before))
          ? before + next
          : `${before} ${next}`,
      );
    // A command letter may be omitted when it repeats.
    const isSame = letter === command && letter !== 'm';
    data += isSame ? (text.startsWith('-') ? text : ` ${text}`) : letter + text;
    command = letter;
    [x0, y0] = [round(x0 + numbers[numbers.length - 2]), round(y0 + numbers[numbers.length - 1])];
  };
  return {
    moveTo(x: number, y: number): void {
      // The first move is absolute, so that path data can be concatenated.
      write(data === '' ? 'M' : 'm', [round(x) - x0, round(y) - y0]);
      start = [x0, y0];
    },
    lineTo(x: number, y: number): void {
      write('l', [round(x) - x0, round(y) - y0]);
    },
    bezierCurveTo(x1: number, y1: number, x2: number, y2: number, x: number, y: number): void {
      write('c', [x1 - x0, y1 - y0, x2 - x0, y2 - y0, round(x) - x0, round(y) - y0]);
    },
    closePath(): void {
      data += 'z';
      command = 'z';
      [x0, y0] = start;
    },
    text: () => data,
  };
}

const round = (value: number): number => Math.round(value * 10) / 10;
