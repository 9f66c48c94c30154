import { solveSheet } from './sheet.ts';
import type { TileTask } from './tiles.ts';

/** Solves a tile. @returns Mean, then draws, m: depths at the nodes of the tile's window, row by row. */
export function solveTile({ tile, data, bending, draws, window }: TileTask): Float32Array {
  const size = window.columns * window.rows;
  const out = new Float32Array((draws + 1) * size);
  solveSheet(tile, data, bending, draws).forEach((bottom, k) => {
    for (let y = 0; y < window.rows; y++) {
      const from = (window.y + y) * tile.columns + window.x;
      out.set(bottom.subarray(from, from + window.columns), k * size + y * window.columns);
    }
  });
  return out;
}
