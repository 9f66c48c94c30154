/** Orders of IHO S-44 with the coefficients a (m) and b of their total vertical uncertainty, strictest first. */
const ORDERS = [
  { name: 'Exclusive Order', a: 0.15, b: 0.0075 },
  { name: 'Special Order', a: 0.25, b: 0.0075 },
  { name: 'Order 1a/1b', a: 0.5, b: 0.013 },
  { name: 'Order 2', a: 1, b: 0.023 },
] as const;

/**
 * Maximum total vertical uncertainty (95 %) that an order allows at a depth, m.
 *
 * Source: IHO Standards for Hydrographic Surveys S-44, Edition 6.1.0 (2022): sqrt(a^2 + (b d)^2).
 */
export function verticalLimit(order: S44Order, depth: number): number {
  const { a, b } = ORDERS.find(({ name }) => name === order)!;
  return Math.sqrt(a * a + (b * depth) ** 2);
}

export type S44Order = (typeof ORDERS)[number]['name'];

/**
 * Strictest order whose vertical limit the differences at crossings stay within; undefined when none.
 *
 * @param spread95 95th percentile of the absolute differences between two passes, m; two passes differ by the
 *   square root of 2 times the uncertainty of one.
 */
export function orderKept(spread95: number, depth: number): S44Order | undefined {
  return ORDERS.find(({ name }) => spread95 / Math.SQRT2 <= verticalLimit(name, depth))?.name;
}
