/**
 * Symmetric positive definite matrix whose entries lie within `band` of the diagonal, and its Cholesky factor in place.
 *
 * Entry (i, j), i - band <= j <= i, is `values[start + i * stride + j]`. Rows are padded with zeros on the left, so that
 * blocks of three rows may run over the edge of the band.
 */
export interface BandMatrix {
  readonly size: number;
  readonly band: number;
  readonly stride: number;
  readonly start: number;
  readonly values: Float64Array;
}

/** Rows and columns of a block: nine products for six loads, which is what fits into the registers. */
const BLOCK = 3;

export function bandMatrix(size: number, band: number): BandMatrix {
  const stride = band + 2 * BLOCK;
  const padded = size + ((BLOCK - (size % BLOCK)) % BLOCK);
  const values = new Float64Array((padded + 1) * (stride + 1));
  const matrix = { size, band, stride, start: stride, values };
  for (let i = size; i < padded; i++) addToBand(matrix, i, i, 1);
  return matrix;
}

/** Adds to entry (i, j), j <= i <= j + band. */
export function addToBand({ stride, start, values }: BandMatrix, i: number, j: number, value: number): void {
  values[start + i * stride + j] += value;
}

/**
 * Cholesky factor L in place, a = L L^T.
 *
 * @throws Error when the matrix is not positive definite: a defect of its maker.
 */
export function factorBand({ size, band, stride, start, values: a }: BandMatrix): void {
  for (let i = 0; i < size; i += BLOCK) {
    const first = Math.max(0, BLOCK * Math.floor((i - band) / BLOCK));
    for (let j = first; j < i; j += BLOCK)
      solveBlock(a, start + i * stride, start + j * stride, stride, first, j);
    solveDiagonal(a, start + i * stride, stride, first, i);
  }
}

/** Rows at `p`, `p + stride`, `p + 2 stride` of the factor in columns j to j + 2, columns `first` to j being done. */
function solveBlock(a: Float64Array, p: number, u: number, stride: number, first: number, j: number): void {
  const [q, r, v, w] = [p + stride, p + 2 * stride, u + stride, u + 2 * stride];
  let [pu, pv, pw] = [a[p + j], a[p + j + 1], a[p + j + 2]];
  let [qu, qv, qw] = [a[q + j], a[q + j + 1], a[q + j + 2]];
  let [ru, rv, rw] = [a[r + j], a[r + j + 1], a[r + j + 2]];
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
  const [d0, d1, d2] = [a[u + j], a[v + j + 1], a[w + j + 2]];
  const [vu, wu, wv] = [a[v + j], a[w + j], a[w + j + 1]];
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

/** The three by three on the diagonal at row i, columns `first` to i being done. */
function solveDiagonal(a: Float64Array, p: number, stride: number, first: number, i: number): void {
  for (let row = 0; row < BLOCK; row++)
    for (let column = 0; column <= row; column++) {
      const [at, to] = [p + row * stride, p + column * stride];
      let sum = a[at + i + column];
      for (let k = first; k < i + column; k++) sum -= a[at + k] * a[to + k];
      if (column < row) a[at + i + column] = sum / a[to + i + column];
      else if (sum > 0) a[at + i + column] = Math.sqrt(sum);
      else throw new Error(`Band matrix is not positive definite at row ${i + row}`);
    }
}

/**
 * Solves L L^T x = b for four right-hand sides at once, in place, from the factor: each entry of L is loaded once for four.
 */
export function solveBand(
  { size, band, stride, start, values: a }: BandMatrix,
  sides: readonly [Float64Array, Float64Array, Float64Array, Float64Array],
): void {
  const [b0, b1, b2, b3] = sides;
  for (let i = 0; i < size; i++) {
    const row = start + i * stride;
    let [s0, s1, s2, s3] = [b0[i], b1[i], b2[i], b3[i]];
    for (let k = Math.max(0, i - band); k < i; k++) {
      const l = a[row + k];
      s0 -= l * b0[k];
      s1 -= l * b1[k];
      s2 -= l * b2[k];
      s3 -= l * b3[k];
    }
    const pivot = 1 / a[row + i];
    b0[i] = s0 * pivot;
    b1[i] = s1 * pivot;
    b2[i] = s2 * pivot;
    b3[i] = s3 * pivot;
  }
  for (let i = size - 1; i >= 0; i--) {
    const row = start + i * stride;
    const pivot = 1 / a[row + i];
    const x0 = b0[i] * pivot;
    const x1 = b1[i] * pivot;
    const x2 = b2[i] * pivot;
    const x3 = b3[i] * pivot;
    b0[i] = x0;
    b1[i] = x1;
    b2[i] = x2;
    b3[i] = x3;
    for (let k = Math.max(0, i - band); k < i; k++) {
      const l = a[row + k];
      b0[k] -= l * x0;
      b1[k] -= l * x1;
      b2[k] -= l * x2;
      b3[k] -= l * x3;
    }
  }
}
