import { CELL_SIZE, GRID_SIZE } from '../../bottom/index.ts';

/** Interpolates heights bilinearly at fixed offsets from a node, for many nodes of many grids. */
export class Stencil {
  /** For each place, the index of the node southwest of the place, less the index of the central node. */
  readonly steps: Int32Array;
  /** For each place, the weights of the nodes to its southwest, southeast, northwest and northeast. */
  readonly weights: Float64Array;

  /** @param places East and north from the node, m. */
  constructor(places: readonly (readonly [east: number, north: number])[]) {
    const cells = places.map((place) => place.map((at) => Math.floor(at / CELL_SIZE)));
    this.steps = Int32Array.from(cells, ([column, row]) => row * GRID_SIZE + column);
    this.weights = Float64Array.from(
      places.flatMap((place, k) => {
        const [u, v] = place.map((at, axis) => at / CELL_SIZE - cells[k][axis]);
        return [(1 - u) * (1 - v), u * (1 - v), (1 - u) * v, u * v];
      }),
    );
  }

  /** Returns the height at a place, which must lie on the grid. @param place Index in `places`. */
  heightAt(heights: Float64Array, node: number, place: number): number {
    const k = node + this.steps[place];
    const w = 4 * place;
    const { weights } = this;
    return (
      weights[w] * heights[k] +
      weights[w + 1] * heights[k + 1] +
      weights[w + 2] * heights[k + GRID_SIZE] +
      weights[w + 3] * heights[k + GRID_SIZE + 1]
    );
  }
}
