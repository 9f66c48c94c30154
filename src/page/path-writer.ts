import { short } from './svg.ts';

/** Drawing context for the curves of d3-shape. */
export interface PathWriter {
  moveTo(x: number, y: number): void;
  lineTo(x: number, y: number): void;
  bezierCurveTo(x1: number, y1: number, x2: number, y2: number, x: number, y: number): void;
  closePath(): void;
  /** Path data written so far. */
  text(): string;
}

/**
 * Writes path data in relative coordinates with one decimal, about half as long as absolute coordinates.
 *
 * Each step starts from the rounded end of the previous step, so rounding errors do not accumulate.
 */
export function pathWriter(): PathWriter {
  let data = '';
  let command = '';
  let [x0, y0] = [0, 0];
  let start = [0, 0];
  const write = (letter: string, numbers: readonly number[]) => {
    let text = '';
    for (const number of numbers) {
      const next = short(number);
      text +=
        text === '' || next.startsWith('-') || (next.startsWith('.') && /\.\d*$/.test(text))
          ? next
          : ` ${next}`;
    }
    // A command letter may be omitted when it repeats.
    const isSame = letter === command && letter !== 'm';
    data += isSame ? (text.startsWith('-') ? text : ` ${text}`) : letter + text;
    command = letter;
    [x0, y0] = [round(x0 + numbers[numbers.length - 2]), round(y0 + numbers[numbers.length - 1])];
  };
  return {
    moveTo(x, y) {
      // The first move is absolute, so that path data can be concatenated.
      write(data === '' ? 'M' : 'm', [round(x) - x0, round(y) - y0]);
      start = [x0, y0];
    },
    lineTo: (x, y) => write('l', [round(x) - x0, round(y) - y0]),
    bezierCurveTo: (x1, y1, x2, y2, x, y) =>
      write('c', [x1 - x0, y1 - y0, x2 - x0, y2 - y0, round(x) - x0, round(y) - y0]),
    closePath() {
      data += 'z';
      command = 'z';
      [x0, y0] = start;
    },
    text: () => data,
  };
}

const round = (value: number): number => Math.round(value * 10) / 10;
