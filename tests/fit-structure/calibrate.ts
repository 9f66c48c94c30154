import { makeBottom, STRUCTURE_WORDS } from '../../fixtures/lakes/bottom.ts';
import { random } from '../../fixtures/lakes/random.ts';
import { simulateSurvey } from '../../fixtures/lakes/survey.ts';
import { type BlockedSoundings, blockSoundings } from '../../shared/bottom/blocked-soundings.ts';
import { relativeSpacing, withFloor } from '../../shared/bottom/calibration.ts';
import type { Posterior } from '../../shared/bottom/gaussian-process.ts';
import { slopeFields, slopeOf, uncalibrated } from '../../shared/bottom/slope-fields.ts';
import { atWaypoint, fitSurface, roughnessOf } from '../../shared/bottom/surface.ts';
import { median, rms } from '../accuracy/bottom-errors.ts';
import { trainingRecipe } from './dataset.ts';

/** One error with the standard deviation stated by the fit. */
interface Case {
  readonly error: number;
  /** Standard deviation to be calibrated, m or deg. */
  readonly sd: number;
  readonly spacing: number;
}

/**
 * Prints the power laws that calibrate the standard deviations of the bottom model: a quantile regression of
 * the 95 % bound of |error| on the uncalibrated standard deviation and the pass spacing. A law fitted to half
 * of the marks is checked on the other half.
 */
export function calibrate(perWord: number): void {
  const full: Cases = { depth: [], slope: [], across: [], even: [] };
  const source = random(4242);
  for (let k = 0; k < perWord * STRUCTURE_WORDS.length; k++) {
    const recipe = trainingRecipe(source);
    const bottom = makeBottom(STRUCTURE_WORDS[k % STRUCTURE_WORDS.length], {
      ...recipe.bottom,
      seed: 600_000 + k,
    });
    const blocked = blockSoundings(
      simulateSurvey(bottom, { radius: 122, ...recipe.survey, seed: 900_000 + k }),
    );
    const surface = fitSurface(blocked);
    const truth = truthOf(bottom.depth);
    if (surface !== undefined) add(full, atWaypoint(surface), truth, blocked, roughnessOf(surface));
  }
  report('depth', full.depth);
  report('slope', full.slope);
  report('across', full.across);
  reportHidden('slope', full.even);
}

/** Errors by quantity, and posteriors on even ground. */
type Cases = Record<'depth' | 'slope' | 'across', Case[]> & { readonly even: EvenCase[] };

interface EvenCase {
  readonly posterior: Posterior;
  /** True slope, deg. */
  readonly slope: number;
}

interface Truth {
  /** m. */
  readonly depth: number;
  /** m/m. */
  readonly gradient: readonly [east: number, north: number];
}

function truthOf(depth: (east: number, north: number) => number): Truth {
  return {
    depth: depth(0, 0),
    gradient: [depth(0.5, 0) - depth(-0.5, 0), depth(0, 0.5) - depth(0, -0.5)],
  };
}

const DEGREES = 180 / Math.PI;

function add(
  cases: Cases,
  posterior: Posterior,
  { depth, gradient }: Truth,
  { passSpacing: spacing, bend }: BlockedSoundings,
  rough: number,
): void {
  const [found, east, north] = posterior.mean;
  const trueSlope = Math.atan(Math.hypot(...gradient)) * DEGREES;
  if (bend === 0) cases.even.push({ posterior, slope: trueSlope });
  const { along, across } = uncalibrated(posterior);
  cases.depth.push({ error: found - depth, sd: Math.sqrt(posterior.covariance[0]), spacing });
  const slope = slopeFields(posterior, 'ok', spacing, { rough, bend }).slope ?? 0;
  cases.slope.push({
    error: slope - trueSlope,
    sd: withFloor(along, rough),
    spacing,
  });
  // The component of the true gradient across the modeled direction.
  const sideways = (gradient[0] * north - gradient[1] * east) / Math.max(Math.hypot(east, north), 1e-9);
  cases.across.push({ error: Math.atan(sideways) * DEGREES, sd: withFloor(across, rough), spacing });
}

/** One case as input of the regression: logarithm of |error| and its predictors. */
interface Row {
  readonly y: number;
  readonly x: readonly number[];
}

/**
 * Prints the law for all cases, and how a law fitted to every other round of the 12 words does on the other
 * rounds.
 */
function report(name: string, cases: readonly Case[]): void {
  const rows = cases.map(({ error, sd, spacing }) => ({
    y: Math.log(Math.abs(error) + 1e-6),
    x: [1, Math.log(sd + 1e-9), Math.log(relativeSpacing(spacing))],
  }));
  const half = bound(rows.filter((_, i) => Math.floor(i / 12) % 2 === 0));
  const odd = rows.filter((_, i) => Math.floor(i / 12) % 2 === 1);
  const inside = odd.filter((row) => row.y < dot(half, row.x)).length / odd.length;
  const theta = bound(rows);
  const factor = Math.exp(theta[0]) / 1.96;
  console.log(
    `${name}: factor ${factor.toFixed(2)}, power ${theta[1].toFixed(2)}, spacing power ${theta[2].toFixed(2)}; ${(100 * inside).toFixed(1)} % of ${odd.length} inside the 95 % bound on the other half`,
  );
}

/** Prints errors of slope on even ground when more or less of the uncertainty counts as steepness. */
function reportHidden(name: string, cases: readonly EvenCase[]): void {
  for (const alongShare of [0, 0.3, 0.6, 1, 1.5, 2, 3]) {
    const figures = [0.25, 0.5, 1].map((most) => {
      const errors = cases.map(({ posterior, slope }) => slopeOf(posterior, { alongShare, most }) - slope);
      const mean = errors.reduce((sum, e) => sum + e, 0) / errors.length;
      return `at most ${most}: RMSE ${rms(errors).toFixed(3)} median ${median(errors.map(Math.abs)).toFixed(3)} mean ${mean.toFixed(2)}`;
    });
    console.log(`${name}, share ${alongShare} along, deg: ${figures.join('; ')}`);
  }
}

/** Fits the coefficients of the 95 % bound. */
const bound = (rows: readonly Row[]): number[] =>
  minimize((t) => rows.reduce((sum, row) => sum + pinball(row.y - dot(t, row.x)), 0), [1, 0.8, 0.4]);

/** Loss function whose minimum is the 95 % quantile (Koenker & Bassett 1978). */
const pinball = (r: number): number => (r > 0 ? 0.95 * r : -0.05 * r);
const dot = (a: readonly number[], b: readonly number[]): number =>
  a.reduce((sum, v, i) => sum + v * b[i], 0);

/**
 * Minimizes by pattern search: moves each parameter up and down by a step, which is halved when nothing
 * improves.
 */
function minimize(loss: (t: number[]) => number, start: number[]): number[] {
  let best = start;
  let value = loss(best);
  for (let step = 0.3; step > 0.002; ) {
    let gained = false;
    for (let i = 0; i < best.length; i++) {
      for (const way of [step, -step]) {
        const next = best.map((v, j) => (j === i ? v + way : v));
        const found = loss(next);
        if (found < value) {
          best = next;
          value = found;
          gained = true;
        }
      }
    }
    if (!gained) step /= 2;
  }
  return best;
}
