import { expect, test } from 'vitest';
import { makeBottom, STRUCTURE_WORDS } from '../../fixtures/lakes/bottom.ts';
import { simulateSurvey } from '../../fixtures/lakes/survey.ts';
import { blockSoundings } from '../../shared/bottom/blocked-soundings.ts';
import { localDeviations } from '../../shared/bottom/depth-grid.ts';
import { fillCoarse } from '../../shared/bottom/lattice.ts';
import { fitSurface, type Surface } from '../../shared/bottom/surface.ts';

const shapeAt = ({ coordinate }: Surface, east: Float64Array, north: Float64Array): Float64Array =>
  east.map((e, k) => coordinate.at(e, north[k])[0]);

test('a standard deviation from the blocks near a tile is never below that from all blocks, and near the mark hardly above', () => {
  const ratios = STRUCTURE_WORDS.flatMap((word, i) => {
    const soundings = simulateSurvey(makeBottom(word, { seed: 300 + i }), {
      seed: i,
      spacing: 25,
      radius: 118,
    });
    const blocked = blockSoundings(soundings);
    const surface = fitSurface(blocked);
    if (surface === undefined) throw new Error('no surface');
    const whole = fillCoarse((e, n) => surface.process.deviationsAt(e, n, shapeAt(surface, e, n)));
    const local = fillCoarse((e, n) =>
      localDeviations(surface.process, blocked.passSpacing, e, n, shapeAt(surface, e, n)),
    );
    expect(local.every((sd, node) => sd >= whole[node] * (1 - 1e-9))).toBe(true);
    return [...local.keys()]
      .filter((node) => Math.max(Math.abs((node % 35) - 17), Math.abs(Math.floor(node / 35) - 17)) <= 8)
      .map((node) => local[node] / whole[node]);
  }).sort((a, b) => a - b);
  expect(ratios[ratios.length >> 1]).toBeLessThan(1.02);
  expect(ratios[Math.floor(0.95 * ratios.length)]).toBeLessThan(1.15);
});
