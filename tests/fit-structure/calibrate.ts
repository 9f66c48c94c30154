import { makeBottom, STRUCTURE_WORDS } from '../../fixtures/lakes/bottom.ts';
import { random } from '../../fixtures/lakes/random.ts';
import { simulateSurvey } from '../../fixtures/lakes/survey.ts';
import { FULL_FIT, SLOPE_FLOOR, USUAL_SPACING } from '../../shared/bottom/calibration.ts';
import { fitLight } from '../../shared/bottom/light-fit.ts';
import type { Posterior } from '../../shared/bottom/predict.ts';
import { slopeFields, uncalibrated } from '../../shared/bottom/slope-fields.ts';
import { atWaypoint, blockSoundings, fitSurface } from '../../shared/bottom/surface.ts';
import { trainingRecipe } from './dataset.ts';

/** One error with what the fit itself says of its size. */
interface Case {
  readonly error: number;
  readonly sd: number;
  readonly spacing: number;
}

/**
 * Prints the power laws that turn the fit's standard deviations into ones that hold: quantile regression of the 95 %
 * bound of |error| on the fit's value and the distance between passes, on half of the marks, checked on the other.
 */
export function calibrate(perWord: number): void {
  const full: Cases = { depth: [], slope: [], across: [] };
  const light: Cases = { depth: [], slope: [], across: [] };
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
    const fit = fitLight(blocked);
    const truth = truthOf(bottom.depth);
    if (surface !== undefined) add(full, atWaypoint(surface), truth, blocked.passSpacing);
    if (fit !== undefined) add(light, fit.posterior, truth, blocked.passSpacing);
  }
  report('depth', full.depth, 0);
  report('slope', full.slope, SLOPE_FLOOR);
  report('across', full.across, SLOPE_FLOOR);
  report('depth, light fit', light.depth, 0);
  report('slope, light fit', light.slope, SLOPE_FLOOR);
  report('across, light fit', light.across, SLOPE_FLOOR);
}

type Cases = Record<'depth' | 'slope' | 'across', Case[]>;

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

function add(cases: Cases, posterior: Posterior, { depth, gradient }: Truth, spacing: number): void {
  const [found, east, north] = posterior.mean;
  const { along, across } = uncalibrated(posterior);
  cases.depth.push({ error: found - depth, sd: Math.sqrt(posterior.covariance[0]), spacing });
  const slope = slopeFields(posterior, 'ok', spacing, FULL_FIT).slope ?? 0;
  cases.slope.push({ error: slope - Math.atan(Math.hypot(...gradient)) * DEGREES, sd: along, spacing });
  // The part of the true gradient across the direction found.
  const sideways = (gradient[0] * north - gradient[1] * east) / Math.max(Math.hypot(east, north), 1e-9);
  cases.across.push({ error: Math.atan(sideways) * DEGREES, sd: across, spacing });
}

/** Fits on even cases, counts on odd ones. */
function report(name: string, cases: readonly Case[], floor: number): void {
  const rows = cases.map(({ error, sd, spacing }) => ({
    y: Math.log(Math.abs(error) + 1e-6),
    x: [1, Math.log(Math.hypot(sd, floor) + 1e-9), Math.log(Math.min(spacing, 100) / USUAL_SPACING)],
  }));
  const even = rows.filter((_, i) => Math.floor(i / 12) % 2 === 0);
  const theta = minimize(
    (t) => even.reduce((sum, row) => sum + pinball(row.y - dot(t, row.x)), 0),
    [1, 0.8, 0.4],
  );
  const odd = rows.filter((_, i) => Math.floor(i / 12) % 2 === 1);
  const inside = odd.filter((row) => row.y < dot(theta, row.x)).length / odd.length;
  const factor = Math.exp(theta[0]) / 1.96;
  console.log(
    `${name}: factor ${factor.toFixed(2)}, power ${theta[1].toFixed(2)}, spacing power ${theta[2].toFixed(2)}; inside on the other half ${(100 * inside).toFixed(1)} % of ${odd.length}`,
  );
}

/** Loss whose least is at the 95 % quantile (Koenker & Bassett 1978). */
const pinball = (r: number): number => (r > 0 ? 0.95 * r : -0.05 * r);
const dot = (a: readonly number[], b: readonly number[]): number =>
  a.reduce((sum, v, i) => sum + v * b[i], 0);

/** Pattern search: each parameter up and down by a step that halves when nothing is gained. */
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
