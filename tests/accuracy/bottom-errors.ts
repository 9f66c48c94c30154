import type { BottomModel } from '../../shared/contract/bottom-model.ts';
import type { Truth } from './bottom-marks.ts';

/**
 * Depth, m, slope and aspect, deg, that a method gives at a mark, with standard deviations if the method has
 * them.
 */
export interface Answer {
  readonly depth: number;
  readonly slope: number;
  readonly aspect?: number;
  readonly depthSd?: number;
  readonly slopeSd?: number;
  readonly aspectSd?: number;
}

/** Limits on the errors: root mean square of depth, m, and slope, deg; medians of slope and aspect, deg. */
export interface Goals {
  readonly depth: number;
  readonly slope: number;
  readonly slopeMedian: number;
  readonly aspect: number;
}

/** Minimum true slope at which errors of aspect are counted, deg; chosen. */
const ASPECT_SLOPE = 2;
/** Half-width of a 95 % interval, in standard deviations. */
const NINETY_FIVE = 1.96;

/** Collects errors and summarizes them. */
export class Errors {
  private readonly depth: number[] = [];
  private readonly slope: number[] = [];
  private readonly aspect: number[] = [];
  private readonly inside = { depth: 0, slope: 0, aspect: 0, aspects: 0 };

  add(answer: Answer, truth: Truth): void {
    this.depth.push(answer.depth - truth.depth);
    this.slope.push(answer.slope - truth.slope);
    if (Math.abs(answer.depth - truth.depth) <= NINETY_FIVE * (answer.depthSd ?? 0)) this.inside.depth++;
    if (Math.abs(answer.slope - truth.slope) <= NINETY_FIVE * (answer.slopeSd ?? 0)) this.inside.slope++;
    if (answer.aspect === undefined || truth.slope < ASPECT_SLOPE) return;
    const turn = Math.abs(((answer.aspect - truth.aspect + 540) % 360) - 180);
    this.aspect.push(turn);
    if (answer.aspectSd === undefined) return;
    this.inside.aspects++;
    if (turn <= NINETY_FIVE * answer.aspectSd) this.inside.aspect++;
  }

  get count(): number {
    return this.depth.length;
  }

  get depthRmse(): number {
    return rms(this.depth);
  }

  get slopeRmse(): number {
    return rms(this.slope);
  }

  /**
   * Standard error of the root mean square slope error, deg: the scatter between samples of this many marks.
   */
  get slopeRmseSe(): number {
    const squares = this.slope.map((e) => e * e);
    const mean = this.slopeRmse ** 2;
    const sd = rms(squares.map((q) => q - mean));
    return sd / (2 * this.slopeRmse * Math.sqrt(Math.max(this.count, 1)));
  }

  summary(): string {
    return `depth RMSE ${rms(this.depth).toFixed(3)} m, slope RMSE ${rms(this.slope).toFixed(2)} median ${median(this.slope.map(Math.abs)).toFixed(2)} deg, aspect median ${median(this.aspect).toFixed(1)} deg`;
  }

  /** Lists each goal and whether it is met. */
  against({ depth, slope, slopeMedian, aspect }: Goals): string {
    const held = (found: number, most: number): string =>
      `${most} ${found <= most ? 'met' : `missed by ${((100 * found) / most - 100).toFixed(0)} %`}`;
    return [
      `depth ${held(rms(this.depth), depth)}`,
      `slope ${held(rms(this.slope), slope)}`,
      `median ${held(median(this.slope.map(Math.abs)), slopeMedian)}`,
      `aspect ${held(median(this.aspect), aspect)}`,
    ].join(', ');
  }

  /** Lists the percentage of true values inside the stated 95 % intervals. */
  coverage(): string {
    const { depth, slope, aspect, aspects } = this.inside;
    const share = (n: number, of: number): string => ((100 * n) / Math.max(of, 1)).toFixed(0);
    return `inside the 95 % interval: depth ${share(depth, this.count)}, slope ${share(slope, this.count)}, aspect ${share(aspect, aspects)} %`;
  }
}

/** Returns the result of a bottom model; undefined if the model gives no slope. */
export function answerOf(model: BottomModel): Answer | undefined {
  return model.slope === undefined ? undefined : { ...model, slope: model.slope };
}

export const rms = (values: readonly number[]): number =>
  Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / Math.max(values.length, 1));

export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted.length === 0 ? Number.NaN : sorted[sorted.length >> 1];
}
