/** Number of rows and columns processed together; a larger block would not fit in the registers. */
const BLOCK = 3;

/** Layout of the lower triangle of a symmetric matrix in an array. */
export interface TriangleLayout {
  /** Number of values from the start of one row to the start of the next. */
  readonly stride: number;
  /** Index of entry (0, 0): entry (i, j) is at `start + i * stride + j`. */
  readonly start?: number;
  /** Number of columns left of the diagonal that may differ from 0; up to 4 more are read and must hold 0. */
  readonly band?: number;
}

/**
 * Computes the Cholesky factor of a symmetric positive definite matrix, in place.
 *
 * @param a Only the lower triangle is read. Becomes L with a = L L^T, in the same band.
 * @returns false when the matrix is not positive definite to working accuracy; `a` is then useless.
 */
export function cholesky(
  a: Float64Array,
  n: number,
  { stride, start = 0, band = n }: TriangleLayout,
): boolean {
  const firstColumn = (i: number): number => Math.max(0, BLOCK * Math.floor((i - band) / BLOCK));
  let i = 0;
  for (; i + BLOCK <= n; i += BLOCK) {
    const first = firstColumn(i);
    const row = start + i * stride;
    for (let j = first; j < i; j += BLOCK) solveBlock(a, row, start + j * stride, stride, first, j);
    if (!solveDiagonal(a, row, stride, first, i)) return false;
  }
  for (const first = firstColumn(i); i < n; i++) if (!solveRow(a, start, stride, first, i)) return false;
  return true;
}

/** Minimum pivot before its square root is taken; a smaller pivot counts as rounding noise; judgment. */
const TINY = 1e-12;

/**
 * Solves three rows in columns `j` to `j + 2`; columns before `j` are done.
 *
 * @param p Index at which the first of the three rows begins.
 * @param u Index at which row `j` of the factor begins.
 */
function solveBlock(a: Float64Array, p: number, u: number, stride: number, first: number, j: number): void {
  const q = p + stride;
  const r = q + stride;
  const v = u + stride;
  const w = v + stride;
  let pu = a[p + j];
  let pv = a[p + j + 1];
  let pw = a[p + j + 2];
  let qu = a[q + j];
  let qv = a[q + j + 1];
  let qw = a[q + j + 2];
  let ru = a[r + j];
  let rv = a[r + j + 1];
  let rw = a[r + j + 2];
  for (let k = first; k < j; k++) {
    const ap = a[p + k];
    const aq = a[q + k];
    const ar = a[r + k];
    const au = a[u + k];
    const av = a[v + k];
    const aw = a[w + k];
    pu -= ap * au;
    pv -= ap * av;
    pw -= ap * aw;
    qu -= aq * au;
    qv -= aq * av;
    qw -= aq * aw;
    ru -= ar * au;
    rv -= ar * av;
    rw -= ar * aw;
  }
  const d0 = a[u + j];
  const d1 = a[v + j + 1];
  const d2 = a[w + j + 2];
  const vu = a[v + j];
  const wu = a[w + j];
  const wv = a[w + j + 1];
  a[p + j] = pu /= d0;
  a[q + j] = qu /= d0;
  a[r + j] = ru /= d0;
  a[p + j + 1] = pv = (pv - pu * vu) / d1;
  a[q + j + 1] = qv = (qv - qu * vu) / d1;
  a[r + j + 1] = rv = (rv - ru * vu) / d1;
  a[p + j + 2] = (pw - pu * wu - pv * wv) / d2;
  a[q + j + 2] = (qw - qu * wu - qv * wv) / d2;
  a[r + j + 2] = (rw - ru * wu - rv * wv) / d2;
}

/**
 * Factors the 3 x 3 diagonal block of rows `i` to `i + 2`; columns before `i` are done.
 *
 * @param p Index at which row `i` begins. @returns false if a pivot is not above `TINY`.
 */
function solveDiagonal(a: Float64Array, p: number, stride: number, first: number, i: number): boolean {
  const q = p + stride;
  const r = q + stride;
  let pp = a[p + i];
  let qp = a[q + i];
  let qq = a[q + i + 1];
  let rp = a[r + i];
  let rq = a[r + i + 1];
  let rr = a[r + i + 2];
  for (let k = first; k < i; k++) {
    const ap = a[p + k];
    const aq = a[q + k];
    const ar = a[r + k];
    pp -= ap * ap;
    qp -= aq * ap;
    qq -= aq * aq;
    rp -= ar * ap;
    rq -= ar * aq;
    rr -= ar * ar;
  }
  if (!(pp > TINY)) return false;
  const d0 = Math.sqrt(pp);
  qp /= d0;
  rp /= d0;
  qq -= qp * qp;
  if (!(qq > TINY)) return false;
  const d1 = Math.sqrt(qq);
  rq = (rq - rp * qp) / d1;
  rr = rr - rp * rp - rq * rq;
  if (!(rr > TINY)) return false;
  a[p + i] = d0;
  a[q + i] = qp;
  a[q + i + 1] = d1;
  a[r + i] = rp;
  a[r + i + 1] = rq;
  a[r + i + 2] = Math.sqrt(rr);
  return true;
}

/** Factors one row; all earlier rows are done. @returns false if the pivot is not above `TINY`. */
function solveRow(a: Float64Array, start: number, stride: number, first: number, row: number): boolean {
  const p = start + row * stride;
  for (let j = first; j <= row; j++) {
    const q = start + j * stride;
    let sum = a[p + j];
    for (let k = first; k < j; k++) sum -= a[p + k] * a[q + k];
    if (j < row) a[p + j] = sum / a[q + j];
    else if (!(sum > TINY)) return false;
    else a[p + j] = Math.sqrt(sum);
  }
  return true;
}

/**
 * Solves L x = b in place for a lower triangular L, four rows at a time, so that the processor overlaps sums.
 *
 * @param l `n` rows, each `stride` values after the previous row. @param offset Index at which b begins.
 */
export function solveLower(l: Float64Array, n: number, stride: number, b: Float64Array, offset = 0): void {
  let i = 0;
  for (; i + 3 < n; i += 4) {
    const p = i * stride;
    const q = p + stride;
    const r = q + stride;
    const s = r + stride;
    const at = offset + i;
    let bp = b[at];
    let bq = b[at + 1];
    let br = b[at + 2];
    let bs = b[at + 3];
    for (let k = 0; k < i; k++) {
      const x = b[offset + k];
      bp -= l[p + k] * x;
      bq -= l[q + k] * x;
      br -= l[r + k] * x;
      bs -= l[s + k] * x;
    }
    bp /= l[p + i];
    bq = (bq - l[q + i] * bp) / l[q + i + 1];
    br = (br - l[r + i] * bp - l[r + i + 1] * bq) / l[r + i + 2];
    b[at] = bp;
    b[at + 1] = bq;
    b[at + 2] = br;
    b[at + 3] = (bs - l[s + i] * bp - l[s + i + 1] * bq - l[s + i + 2] * br) / l[s + i + 3];
  }
  for (; i < n; i++) {
    const row = i * stride;
    let sum = b[offset + i];
    for (let k = 0; k < i; k++) sum -= l[row + k] * b[offset + k];
    b[offset + i] = sum / l[row + i];
  }
}

/** Solves L^T x = b in place for a lower triangular L, as in `solveLower`. */
export function solveLowerTransposed(
  l: Float64Array,
  n: number,
  stride: number,
  b: Float64Array,
  offset = 0,
): void {
  for (let i = n - 1; i >= 0; i--) {
    const row = i * stride;
    const x = b[offset + i] / l[row + i];
    b[offset + i] = x;
    for (let k = 0; k < i; k++) b[offset + k] -= l[row + k] * x;
  }
}

/** Solves a x = b for a symmetric `n` x `n` matrix a; undefined when a is not positive definite. */
export function solveSymmetric(
  a: ArrayLike<number>,
  b: ArrayLike<number>,
  n: number,
): Float64Array | undefined {
  const l = Float64Array.from(a);
  const x = Float64Array.from(b);
  if (!cholesky(l, n, { stride: n })) return undefined;
  solveLower(l, n, n, x);
  solveLowerTransposed(l, n, n, x);
  return x;
}

/** Number of right-hand sides that `solveRowsBelow` solves at once. */
export const ABREAST = BLOCK;

/**
 * Solves L x = b in place for `ABREAST` right-hand sides with the blocks of `cholesky`, as if the right-hand
 * sides were further rows of the lower triangular L.
 *
 * @param a Rows of `n` values: L from row 0 on, the right-hand sides from row `first` on.
 * @param first Row of the first right-hand side.
 */
export function solveRowsBelow(a: Float64Array, n: number, first = n): void {
  const below = first * n;
  let j = 0;
  for (; j + BLOCK <= n; j += BLOCK) solveBlock(a, below, j * n, n, 0, j);
  for (; j < n; j++) {
    for (let row = below; row < below + ABREAST * n; row += n) {
      let sum = a[row + j];
      for (let k = 0; k < j; k++) sum -= a[row + k] * a[j * n + k];
      a[row + j] = sum / a[j * n + j];
    }
  }
}

export function gather(values: Float64Array, at: ArrayLike<number>): Float64Array {
  const out = new Float64Array(at.length);
  for (let i = 0; i < at.length; i++) out[i] = values[at[i]];
  return out;
}

/** Returns the inner product of two vectors. @param b At least as long as `a`. */
export function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i] * b[i];
  return sum;
}
