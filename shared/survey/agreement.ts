import { medianOf } from '../math/index.ts';
import type { Crossing } from './crossings.ts';

/** How well the passes of a survey agree where they cross. */
export interface Agreement {
  readonly crossings: number;
  /** Median of the depth on the first pass minus the depth on the second pass, m; NaN without crossings. */
  readonly median: number;
  /** 95th percentile of the absolute difference in depth, m; NaN without crossings. */
  readonly spread95: number;
  /** Mean depth of the first passes at the crossings, m; 0 without crossings. */
  readonly depth: number;
}

export function agreementAt(crossings: readonly Crossing[]): Agreement {
  const count = crossings.length;
  const differences = Float64Array.from(crossings, ({ firstDepth, secondDepth }) => firstDepth - secondDepth);
  const sizes = differences.map(Math.abs).sort();
  return {
    crossings: count,
    median: medianOf(differences),
    spread95: count === 0 ? Number.NaN : sizes[Math.min(count - 1, Math.floor(0.95 * count))],
    depth: crossings.reduce((sum, { firstDepth }) => sum + firstDepth, 0) / Math.max(1, count),
  };
}

/** Orders of IHO S-44, strictest first, with the coefficients `a` (m) and `b` of `verticalLimit`. */
const ORDERS = [
  { name: 'Exclusive Order', a: 0.15, b: 0.0075 },
  { name: 'Special Order', a: 0.25, b: 0.0075 },
  { name: 'Order 1a/1b', a: 0.5, b: 0.013 },
  { name: 'Order 2', a: 1, b: 0.023 },
] as const;

/**
 * Returns the maximum total vertical uncertainty (95 %) that an order allows at a depth, m.
 *
 * Source: IHO Standards for Hydrographic Surveys S-44, Edition 6.1.0 (2022): sqrt(a^2 + (b d)^2).
 */
export function verticalLimit(order: S44Order, depth: number): number {
  const { a, b } = ORDERS.find(({ name }) => name === order)!;
  return Math.sqrt(a * a + (b * depth) ** 2);
}

export type S44Order = (typeof ORDERS)[number]['name'];

/**
 * Finds the strictest order that allows the uncertainty of a pass; undefined when no order allows it.
 *
 * The uncertainty of a pass is taken as `spread95` / sqrt(2), because both passes contribute equally. For
 * `spread95` and `depth`, see `Agreement`.
 */
export function orderKept(spread95: number, depth: number): S44Order | undefined {
  return ORDERS.find(({ name }) => spread95 / Math.SQRT2 <= verticalLimit(name, depth))?.name;
}
