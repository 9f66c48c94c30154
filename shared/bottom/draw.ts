import type { DepthGrid } from '../contract/index.ts';

/** Waves in a draw; 32 make its one-point distribution normal to the eye. */
const WAVES = 32;

/**
 * One surface that the soundings leave possible: the grid with its depths moved within their standard deviations.
 *
 * Neighboring nodes move together over about the grid's `range`; the same seed gives the same surface. Support and
 * standard deviations stay, so a draw is sampled just as the grid is. Depths never go above the water.
 *
 * Errors are the standard deviation times a smooth random field of unit variance, a sum of random plane waves
 * (random Fourier features of a squared-exponential correlation: Rahimi & Recht 2007).
 */
export function drawDepthGrid(grid: DepthGrid, seed: number): DepthGrid {
  const { size, cellSize, depth, sd } = grid;
  const range = grid.range;
  const half = (size - 1) / 2;
  const field = new Float64Array(size * size);
  const next = uniform(seed);
  const amplitude = Math.sqrt(2 / WAVES);
  for (let k = 0; k < WAVES; k++) {
    const radius = Math.sqrt(-2 * Math.log(1 - next())) / range;
    const bearing = 2 * Math.PI * next();
    const east = radius * Math.sin(bearing) * cellSize;
    const north = radius * Math.cos(bearing) * cellSize;
    const phase = 2 * Math.PI * next();
    // Turning by a fixed angle from node to node needs no cosine per node.
    const turnCos = Math.cos(east);
    const turnSin = Math.sin(east);
    for (let row = 0; row < size; row++) {
      const start = north * (row - half) - east * half + phase;
      let cos = Math.cos(start);
      let sin = Math.sin(start);
      for (let node = row * size; node < (row + 1) * size; node++) {
        field[node] += amplitude * cos;
        const c = cos * turnCos - sin * turnSin;
        sin = sin * turnCos + cos * turnSin;
        cos = c;
      }
    }
  }
  const drawn = new Float64Array(size * size);
  for (let i = 0; i < drawn.length; i++) drawn[i] = Math.max(0, depth[i] + sd[i] * field[i]);
  return { ...grid, depth: drawn };
}

/** Mulberry32: uniform in [0, 1) from a seed. */
function uniform(seed: number): () => number {
  let state = Math.imul(seed ^ 0x9e3779b9, 0x85ebca6b) | 0;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}
