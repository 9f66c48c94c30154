/** Names of the forms, in the order of their codes 1 to 10. */
export const GEOMORPHONS = [
  'flat',
  'peak',
  'ridge',
  'shoulder',
  'spur',
  'slope',
  'hollow',
  'footslope',
  'valley',
  'pit',
] as const;

const [FL, PK, RI, SH, SP, SL, HL, FS, VL, PT] = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10];

/** Form by the number of lower directions (row) and higher directions (column). */
const FORMS: readonly (readonly number[])[] = [
  [FL, FL, FL, FS, FS, VL, VL, VL, PT],
  [FL, FL, FS, FS, FS, VL, VL, VL],
  [FL, SH, SL, SL, HL, HL, VL],
  [SH, SH, SL, SL, SL, HL],
  [SH, SH, SP, SL, SL],
  [RI, RI, SP, SP],
  [RI, RI, RI],
  [RI, RI],
  [PK],
];

const AROUND = [
  [-1, 0],
  [-1, 1],
  [0, 1],
  [1, 1],
  [1, 0],
  [1, -1],
  [0, -1],
  [-1, -1],
] as const;

/**
 * Returns the geomorphon of one cell of an elevation grid: code 1 to 10 (see `GEOMORPHONS`).
 *
 * In each of eight directions, the highest and the lowest vertical angle are compared. If the larger of the
 * two in size exceeds the threshold, the direction counts as higher or lower (the rule of GRASS r.geomorphon,
 * "anglev1").
 *
 * @param search Search distance in cells; the farthest cell examined is one less.
 * @param flat Threshold, deg.
 *
 * Source: Jasiewicz & Stepinski 2013, Geomorphology 182:147-156, doi:10.1016/j.geomorph.2012.11.005.
 */
export function geomorphonAt(
  height: (row: number, column: number) => number | undefined,
  row: number,
  column: number,
  cellSize: number,
  search: number,
  flat: number,
): number {
  const threshold = (flat * Math.PI) / 180;
  const here = height(row, column)!;
  let lower = 0;
  let higher = 0;
  for (const [r, c] of AROUND) {
    let up = Number.NEGATIVE_INFINITY;
    let down = Number.POSITIVE_INFINITY;
    for (let k = 1; k * Math.hypot(r, c) < search; k++) {
      const there = height(row + k * r, column + k * c);
      if (there === undefined) break;
      const angle = Math.atan2(there - here, k * Math.hypot(r, c) * cellSize);
      up = Math.max(up, angle);
      down = Math.min(down, angle);
    }
    if (Math.abs(up) <= threshold && Math.abs(down) <= threshold) continue;
    if (Math.abs(up) > Math.abs(down)) {
      if (up > threshold) higher++;
      else if (up < -threshold) lower++;
    } else if (down < -threshold) lower++;
    else if (down > threshold) higher++;
  }
  return FORMS[lower][higher];
}
