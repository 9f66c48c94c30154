const POINTS = [
  ...['n', 'nne', 'ne', 'ene', 'e', 'ese', 'se', 'sse'],
  ...['s', 'ssw', 'sw', 'wsw', 'w', 'wnw', 'nw', 'nnw'],
];

/** Reads a direction, deg, [0, 360), from `SW`, `south-west` or `225`; undefined for any other text. */
export function parseDirection(text: string): number | undefined {
  const word = text
    .trim()
    .toLowerCase()
    .replace(/north/g, 'n')
    .replace(/south/g, 's')
    .replace(/east/g, 'e')
    .replace(/west/g, 'w')
    .replace(/[\s-]+/g, '');
  const point = POINTS.indexOf(word);
  if (point >= 0) return (point * 360) / POINTS.length;
  const degrees = /^\d{1,3}(?:\.\d+)?$/.test(word) ? Number(word) : Number.NaN;
  return degrees <= 360 ? degrees % 360 : undefined;
}
