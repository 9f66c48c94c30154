import { memoize, once } from 'es-toolkit/function';
import { range } from 'es-toolkit/math';
import type { LakeBottom } from '../contract/index.ts';
import {
  cutOut,
  findLineNodes,
  groundOf,
  type LakeGrid,
  type LakeModel,
  lakeBottom,
  nodeAt,
  nodeOf,
  placeOf,
} from '../lake/index.ts';
import { seededRandom } from '../math/index.ts';
import { wordOnLake } from '../structure/index.ts';
import { type LinePlaces, type MeasuredPlaces, measurerOf, type Places } from './places.ts';
import { type RuleTable, ruleTable } from './rules.ts';

/** Approximate distance between the places of `water`, m. */
const SPACING = 15;
/** Approximate number of places in the background; small, because structure words are slow to compute. */
const BACKGROUND = 1000;
/** Half the side of the window cut out of a draw around a place, m. */
const WINDOW = 120;

interface OnGround {
  readonly lat: number;
  readonly lon: number;
}

/** The water of a lake, measured once for any number of searches. */
export interface LakePlaces {
  readonly grid: LakeGrid;
  /** Places on the sounded water, one about every 15 m along both axes of the grid. */
  readonly water: MeasuredPlaces;
  /** A random sample of the places on the water, with their words; computed on first use. */
  readonly background: Places;
  /** Returns the rule table of the background; computed on the first call. */
  readonly tableOf: () => RuleTable;
  /** Measures places at their nearest nodes and adds their words. Every place must have a word. */
  readonly measure: (places: readonly OnGround[]) => Places;
  /** Returns the word of a mark, as an index into `STRUCTURE_WORDS`; undefined off the known bottom. */
  readonly wordAt: (place: OnGround) => number | undefined;
  /** Measures a node on each draw that has a depth there and, if `withWord`, a word; else words are 0. */
  readonly onDraws: (node: number, withWord: boolean) => Places[];
}

export function lakePlaces({ grid, lines, areas }: LakeModel, size = BACKGROUND): LakePlaces {
  const bottom = lakeBottom(grid, lines, areas);
  const measured = measurerOf(grid, grid.depth, () => placesOfLines(bottom));
  const wordAt = memoize(({ lat, lon }: OnGround) => wordOnLake(bottom, lat, lon), {
    getCacheKey: ({ lat, lon }) => `${lat},${lon}`,
  });
  const measure = (places: readonly OnGround[]): Places => ({
    ...measured(places.map(({ lat, lon }) => nodeAt(grid, lat, lon)!)),
    word: Uint8Array.from(places, (place) => wordAt(place)!),
  });
  const nodes = latticeNodes(grid);
  // Computed on demand, because a search with too few marks needs neither background nor table.
  const background = once((): Places => {
    const random = seededRandom(1);
    const spread = nodes.filter(() => random() < size / nodes.length).map((node) => onGround(grid, node));
    return measure(spread.filter((place) => wordAt(place) !== undefined));
  });
  const tableOf = once((): RuleTable => ruleTable(background()));
  return {
    grid,
    water: measured(nodes),
    get background() {
      return background();
    },
    tableOf,
    measure,
    wordAt,
    onDraws: (node, withWord) => grid.draws.flatMap((draw) => onDraw(grid, bottom, draw, node, withWord)),
  };
}

export function onGround(grid: LakeGrid, node: number): OnGround {
  const [lat, lon] = placeOf(grid, node % grid.columns, Math.floor(node / grid.columns));
  return { lat, lon };
}

function latticeNodes({ columns, rows, cell, depth }: LakeGrid): number[] {
  const step = Math.max(1, Math.round(SPACING / cell));
  return range(step >> 1, rows, step)
    .flatMap((y) => range(step >> 1, columns, step).map((x) => y * columns + x))
    .filter((node) => !Number.isNaN(depth[node]));
}

/** Returns points along the lips and thalwegs of the lake, at most one node spacing apart. */
function placesOfLines(bottom: LakeBottom): LinePlaces {
  const ground = groundOf(bottom);
  const ofKind = (kind: 'lip' | 'thalweg'): [number, number][] =>
    bottom.lines
      .filter((line) => line.kind === kind)
      .flatMap(({ places }) => {
        const nodes = places.map((place) => nodeOf(ground, ...place));
        return nodes.flatMap(([x, y], i) => {
          const [x1, y1] = nodes[i + 1] ?? [x, y];
          const steps = Math.max(1, Math.ceil(Math.hypot(x1 - x, y1 - y)));
          return Array.from({ length: steps }, (_, s): [number, number] => [
            x + ((x1 - x) * s) / steps,
            y + ((y1 - y) * s) / steps,
          ]);
        });
      });
  return { lip: ofKind('lip'), thalweg: ofKind('thalweg') };
}

/** Measures a node on one draw, in a window around the node, for `LakePlaces.onDraws`. */
function onDraw(grid: LakeGrid, bottom: LakeBottom, draw: Float32Array, node: number, withWord: boolean) {
  const [x, y] = [node % grid.columns, Math.floor(node / grid.columns)];
  const span = Math.ceil(WINDOW / grid.cell);
  const [x0, y0] = [Math.max(0, x - span), Math.max(0, y - span)];
  const window = {
    columns: Math.min(grid.columns - 1, x + span) - x0 + 1,
    rows: Math.min(grid.rows - 1, y + span) - y0 + 1,
    cell: grid.cell,
  };
  const depth = cutOut(draw, grid.columns, x0, y0, window.columns, window.rows);
  const measured = measurerOf(window, depth, (terrain) => {
    const lines = findLineNodes(terrain);
    const nodes = (of: Uint8Array): [number, number][] =>
      [...of.keys()].filter((k) => of[k]).map((k) => [k % window.columns, Math.floor(k / window.columns)]);
    return { lip: nodes(lines.lip), thalweg: nodes(lines.thalweg) };
  })([(y - y0) * window.columns + x - x0]);
  if (measured.count === 0) return [];
  if (!withWord) return [{ ...measured, word: new Uint8Array(1) }];
  const { lat, lon } = onGround(grid, node);
  const word = wordOnLake({ ...bottom, depth: draw }, lat, lon);
  return word === undefined ? [] : [{ ...measured, word: Uint8Array.of(word) }];
}
