import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type BottomProfile, emptyPath, type RetrievePath } from '../../shared/retrieve/path.ts';
import { type RetrieveSetup, simulateRetrieve, workspace } from '../../shared/retrieve/retrieve.ts';
import { clearanceAt, countedLength, greatestDepth } from '../../shared/retrieve/touch.ts';
import { profileOf, touchOf } from './path-measures.ts';
import { steadyTow } from './steady-tow.ts';

const run = (setup: RetrieveSetup, bottom?: (distance: number) => number, step = 0.5) => {
  const path = emptyPath();
  const profile = bottom && profileOf(bottom, setup.cast + 5, 0.25);
  simulateRetrieve(setup, profile, step, path, workspace());
  return { path, profile };
};

/** Returns the length of path within a clearance of the bottom and between two depths, m. */
const lengthNearBottom = (
  path: RetrievePath,
  profile: BottomProfile,
  clearance: number,
  top: number,
  bottom: number,
): number => {
  const gapAt = (i: number) =>
    Math.max(clearanceAt(path, profile, i) - clearance, top - path.depth[i], path.depth[i] - bottom);
  return countedLength(path, gapAt, { spacing: 1, depth: [1, 1] }).length;
};

const usual: RetrieveSetup = {
  cast: 45,
  line: { diameter: 0.285e-3, density: 1780 },
  lure: { liftToDrag: 0.78, dragArea: 10.68e-4 },
  handling: { tipHeight: 0.3, speed: 1.5, friction: 0.2 },
};

describe('line without drag', () => {
  const thin: RetrieveSetup = {
    cast: 45,
    line: { diameter: 1e-9, density: 1000 },
    lure: { liftToDrag: 0.8, dragArea: 1e-3 },
    handling: { tipHeight: 0, speed: 1.5, friction: 0.2 },
  };

  it('follows the logarithmic spiral: depression = lambda ln(L0 / L)', () => {
    const { path } = run(thin);
    for (let i = 1; i < path.count; i += 7) {
      const depression = Math.atan2(path.depth[i], path.distance[i]);
      expect(depression).toBeCloseTo(0.8 * Math.log(45 / path.line[i]), 4);
    }
  });

  it('reaches L0 sin(gamma) exp(-gamma / lambda) = 0.26877 L0', () => {
    const gamma = Math.atan(0.8);
    const exact = Math.sin(gamma) * Math.exp(-gamma / 0.8);
    expect(exact).toBeCloseTo(0.26877, 5);
    // The greatest depth lies between two computed points, so it is not matched exactly.
    expect(greatestDepth(run(thin, undefined, 0.1).path) / 45 / exact).toBeCloseTo(1, 4);
  });
});

describe('similarity', () => {
  it('depth over cast depends only on lambda, Cn d L0 / CdA, tip height over cast and Ct / Cn', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.5, max: 2, noNaN: true }),
        fc.double({ min: 0.5, max: 2, noNaN: true }),
        fc.double({ min: 0.2, max: 1.3, noNaN: true }),
        (scale, thickness, liftToDrag) => {
          // The line is neutral, because weight would make the speed matter. The step is scaled with the
          // cast.
          const depthOf = (k: number, t: number) =>
            greatestDepth(
              run(
                {
                  cast: 40 * k,
                  line: { diameter: 0.28e-3 * t, density: 1000 },
                  lure: { liftToDrag, dragArea: 10e-4 * k * t },
                  handling: { tipHeight: 0.3 * k, speed: 1.5, friction: 0.2 },
                },
                undefined,
                0.2 * k,
              ).path,
            ) /
            (40 * k);
          // 0.5 %, because the first steps and the end of the retrieve do not scale.
          expect(Math.abs(depthOf(scale, thickness) / depthOf(1, 1) - 1)).toBeLessThan(0.005);
        },
      ),
      { numRuns: 40 },
    );
  });

  it('a neutral line makes the path independent of the speed', () => {
    const at = (speed: number) =>
      greatestDepth(
        run({
          ...usual,
          line: { diameter: 0.285e-3, density: 1000 },
          handling: { ...usual.handling, speed },
        }).path,
      );
    expect(at(0.8)).toBeCloseTo(at(2.4), 9);
  });
});

// Closed forms after Pode 1951 and Berteaux 1976. A reeled line slides along itself without drag across it, a
// towed line does not. So these tests check the force balance of the line, not the retrieve.
describe('steady tow', () => {
  it('of a neutrally buoyant line under normal drag: depth 14.1254 m, distance 42.4227 m, angle 10.686 deg', () => {
    const [lambda, dragArea, across, length] = [0.7, 0.004, 4.2e-4, 45];
    const a = (dragArea * Math.sqrt(1 + lambda * lambda)) / across;
    const phi0 = Math.atan(lambda);
    const phi1 = Math.atan(1 / (1 / Math.tan(phi0) + length / a));
    expect((phi1 * 180) / Math.PI).toBeCloseTo(10.686, 3);
    expect(a * Math.log(Math.tan(phi0 / 2) / Math.tan(phi1 / 2))).toBeCloseTo(14.1254, 4);
    expect(a * (1 / Math.sin(phi1) - 1 / Math.sin(phi0))).toBeCloseTo(42.4227, 4);
    const tow = steadyTow({
      lambda,
      dragArea,
      across,
      along: 0,
      weight: 0,
      length,
    });
    expect(tow.depth).toBeCloseTo(14.1254, 4);
    expect(tow.distance).toBeCloseTo(42.4227, 4);
    expect((tow.angle * 180) / Math.PI).toBeCloseTo(10.686, 3);
  });

  it('of a long heavy line approaches the critical angle: 38.668, 51.827, 65.530 deg for W / R = 0.5, 1, 2', () => {
    for (const [ratio, expected] of [
      [0.5, 38.668],
      [1, 51.827],
      [2, 65.53],
    ]) {
      const cos = -ratio / 2 + Math.sqrt(1 + (ratio / 2) ** 2);
      expect((Math.acos(cos) * 180) / Math.PI).toBeCloseTo(expected, 3);
      // Far from the lower end, a long line no longer depends on it.
      const tow = steadyTow({
        lambda: 1,
        dragArea: 1e-6,
        across: 1,
        along: 0,
        weight: ratio,
        length: 200,
      });
      expect((tow.angle * 180) / Math.PI).toBeCloseTo(expected, 3);
    }
  });
});

describe('contact', () => {
  it('never takes the lure below the bottom or above the rod tip', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.5, max: 9, noNaN: true }),
        fc.double({ min: -0.3, max: 0.3, noNaN: true }),
        fc.double({ min: 0, max: 1.5, noNaN: true }),
        (depth, gradient, bumps) => {
          const bottom = (x: number) => depth + gradient * x + bumps * Math.sin(x / 3);
          const { path, profile } = run(usual, bottom);
          for (let i = 1; i < path.count; i++) {
            expect(path.depth[i]).toBeGreaterThanOrEqual(-0.301);
            // Directly below the rod tip, one step turns the lure through tens of degrees.
            if (path.distance[i] < 2) continue;
            const ground = Math.max(bottom(path.distance[i]), 0);
            expect(path.depth[i]).toBeLessThan(ground + 0.15);
          }
          if (profile === undefined) return;
          const touch = touchOf(path);
          const near = lengthNearBottom(path, profile, 0.3, 0, 100);
          expect(near).toBeGreaterThanOrEqual((touch?.contact ?? 0) - 0.6);
        },
      ),
      { numRuns: 100 },
    );
  });

  it("is zero over deep water, and more than half the cast over a flat at half the lure's depth", () => {
    expect(touchOf(run(usual, () => 30).path)).toBeUndefined();
    const touch = touchOf(run(usual, () => 2.5).path);
    expect(touch?.contact).toBeGreaterThan(25);
    expect(touch?.depths[0]).toBeCloseTo(2.5, 6);
    expect(touch?.depths[1]).toBeCloseTo(2.5, 6);
  });

  it('weighted by two densities that add up to one has parts that add up to the whole', () => {
    const { path, profile } = run(usual, (x) => 1.5 + 0.08 * (45 - x));
    if (profile === undefined) throw new Error('no profile');
    const gapAt = (i: number) => clearanceAt(path, profile, i) - 0.3;
    const rising = profileOf((x) => x / 50, 50, 1);
    const falling = profileOf((x) => 1 - x / 50, 50, 1);
    const whole = countedLength(path, gapAt, rising);
    const rest = countedLength(path, gapAt, falling);
    expect(whole.length).toBeGreaterThan(5);
    expect(whole.weighted + rest.weighted).toBeCloseTo(whole.length, 9);
  });
});

// Worked example of the retrieve model: bottom falling linearly from 10 to 30 ft over 60 m, fish in 12 to 18
// ft. TABLE is from the full model: boat depth, ft; cast, m; percent of the cast on bottom, and on bottom
// among the fish.
describe('worked example of contact by boat depth and cast', () => {
  const TABLE: readonly (readonly [boat: number, cast: number, contact: number, inside: number])[] = [
    [15, 30, 35, 0],
    [15, 45, 57, 0],
    [15, 55, 65, 0],
    [18, 45, 50, 11],
    [18, 55, 60, 9],
    [20, 45, 44, 19],
    [20, 55, 56, 15],
    [22, 45, 35, 24],
    [22, 55, 50, 21],
    [24, 55, 44, 26],
  ];

  const pointOf = (boat: number) => (x: number) => 0.3048 * Math.max(boat - (20 / 60) * x, 10);

  it('is on bottom as much as in the full model, within 3 % of the cast plus half a percent for rounding', () => {
    for (const [boat, cast, contact, inside] of TABLE) {
      const bottom = pointOf(boat);
      const { path, profile } = run({ ...usual, cast }, bottom);
      if (profile === undefined) throw new Error('no profile');
      expect(
        Math.abs((100 * (touchOf(path)?.contact ?? 0)) / cast - contact),
        `${boat} ft, ${cast} m`,
      ).toBeLessThan(3.5);
      const band = lengthNearBottom(path, profile, 0.02, 12 * 0.3048, 18 * 0.3048);
      expect(Math.abs((100 * band) / cast - inside), `${boat} ft, ${cast} m, in band`).toBeLessThan(3.5);
    }
  });

  it('is off bottom where the full model is: from a boat in 18 ft or deeper with 30 m of cast, in 24 ft with 45 m', () => {
    for (const [boat, cast] of [
      [18, 30],
      [20, 30],
      [22, 30],
      [24, 30],
      [24, 45],
    ]) {
      const bottom = pointOf(boat);
      expect(touchOf(run({ ...usual, cast }, bottom).path), `${boat} ft, ${cast} m`).toBeUndefined();
    }
  });
});
