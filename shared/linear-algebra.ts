/**
 * Cholesky factor of a symmetric positive definite matrix, in place.
 *
 * @param a Row-major, `stride` values a row; only the lower triangle is read. Becomes L with a = L L^T.
 * @returns false when the matrix is not positive definite to working accuracy; `a` is then spoiled.
 *
 * Two rows and two columns at a time: four products for four loads, where a plain dot product does one for two.
 */
export function cholesky(a: Float64Array, n: number, stride: number): boolean {
  let i = 0;
  for (; i + 1 < n; i += 2) {
    const p = i * stride;
    const q = p + stride;
    let j = 0;
    for (; j < i; j += 2) {
      const r = j * stride;
      const s = r + stride;
      let pr = a[p + j];
      let ps = a[p + j + 1];
      let qr = a[q + j];
      let qs = a[q + j + 1];
      for (let k = 0; k < j; k++) {
        const ap = a[p + k];
        const aq = a[q + k];
        const ar = a[r + k];
        const as = a[s + k];
        pr -= ap * ar;
        ps -= ap * as;
        qr -= aq * ar;
        qs -= aq * as;
      }
      pr /= a[r + j];
      qr /= a[r + j];
      a[p + j] = pr;
      a[q + j] = qr;
      a[p + j + 1] = (ps - pr * a[s + j]) / a[s + j + 1];
      a[q + j + 1] = (qs - qr * a[s + j]) / a[s + j + 1];
    }
    let pp = a[p + i];
    let qp = a[q + i];
    let qq = a[q + i + 1];
    for (let k = 0; k < i; k++) {
      const ap = a[p + k];
      const aq = a[q + k];
      pp -= ap * ap;
      qp -= aq * ap;
      qq -= aq * aq;
    }
    if (!(pp > TINY)) return false;
    const d = Math.sqrt(pp);
    a[p + i] = d;
    qp /= d;
    a[q + i] = qp;
    qq -= qp * qp;
    if (!(qq > TINY)) return false;
    a[q + i + 1] = Math.sqrt(qq);
  }
  return i === n || lastRow(a, n, stride);
}

/** Pivots below this are rounding noise of depths in meters. */
const TINY = 1e-12;

/** The last row of an odd-sized matrix. */
function lastRow(a: Float64Array, n: number, stride: number): boolean {
  const p = (n - 1) * stride;
  for (let j = 0; j < n; j++) {
    const r = j * stride;
    let sum = a[p + j];
    for (let k = 0; k < j; k++) sum -= a[p + k] * a[r + k];
    if (j < n - 1) a[p + j] = sum / a[r + j];
    else if (!(sum > TINY)) return false;
    else a[p + j] = Math.sqrt(sum);
  }
  return true;
}

/** Solves L x = b in place for a lower triangular L. */
export function solveLower(l: Float64Array, n: number, stride: number, b: Float64Array, offset = 0): void {
  for (let i = 0; i < n; i++) {
    const row = i * stride;
    let sum = b[offset + i];
    for (let k = 0; k < i; k++) sum -= l[row + k] * b[offset + k];
    b[offset + i] = sum / l[row + i];
  }
}

/** Solves L^T x = b in place for a lower triangular L. */
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

/** Solves a small symmetric positive definite system, `a` and `b` kept; undefined when singular. */
export function solveSymmetric(
  a: ArrayLike<number>,
  b: ArrayLike<number>,
  n: number,
): Float64Array | undefined {
  const l = Float64Array.from(a);
  const x = Float64Array.from(b);
  if (!cholesky(l, n, n)) return undefined;
  solveLower(l, n, n, x);
  solveLowerTransposed(l, n, n, x);
  return x;
}
