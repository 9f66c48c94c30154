import type { Blocks } from './blocks.ts';
import { MOST_LIGHT } from './light-memory.ts';
import { type LightRoom, lightRoom } from './light-room.ts';

/** The blocks nearest the origin, in order of distance, with what is known of their errors; see `design.ts`. */
export interface LightDesign {
  readonly count: number;
  /** m; depth that the depths in the room are less by. */
  readonly zero: number;
  /** Where the columns of the blocks lie, until the next design is made. */
  readonly room: LightRoom;
}

/** See `design.ts` for these. */
const OFFSET = 1;
const LAG = 1;
const BIAS = 0.05;
const UNSEEN_OFFSET = 0.5;
const MOST_UNSEEN = 0.02;
const INDEPENDENT = 4;
const LEAST_NOISE = 1e-6;

/** The nearest blocks, `MOST_LIGHT` of them or the even number there is. */
export function lightDesign(blocks: Blocks, room = lightRoom()): LightDesign {
  const order = nearest(blocks, MOST_LIGHT);
  const count = order.length;
  const zero = blocks.depth[order[0]];
  for (let i = 0; i < count; i++) {
    const block = order[i];
    room.east[i] = blocks.east[block];
    room.north[i] = blocks.north[block];
    room.depth[i] = blocks.depth[block] - zero;
    room.noise[i] = blocks.noise[block] ** 2 / Math.min(blocks.weight[block], INDEPENDENT) + LEAST_NOISE;
  }
  fillErrors(blocks, order, room);
  return { count, zero, room };
}

/** Numbers of the nearest blocks, nearest first; of two at one distance the earlier. */
function nearest({ count, east, north }: Blocks, most: number): Int32Array {
  const n = Math.min(most, count) & ~1;
  const order = new Int32Array(n);
  const squares = new Float64Array(n);
  let found = 0;
  for (let i = 0; i < count; i++) {
    const square = east[i] * east[i] + north[i] * north[i];
    if (found === n && !(square < squares[n - 1])) continue;
    let k = found < n ? found++ : n - 1;
    for (; k > 0 && squares[k - 1] > square; k--) {
      order[k] = order[k - 1];
      squares[k] = squares[k - 1];
    }
    order[k] = i;
    squares[k] = square;
  }
  return order;
}

/** Errors as in `design.ts`: noise, and what the blocks of a leg share. */
function fillErrors(blocks: Blocks, order: Int32Array, { errors, noise }: LightRoom): void {
  const { wayEast, wayNorth, along, leg, count } = blocks;
  const n = order.length;
  let steep = 0;
  for (let i = 0; i < count; i++) steep += (along[i] * along[i]) / count;
  const bias = BIAS ** 2 + Math.min(MOST_UNSEEN, UNSEEN_OFFSET ** 2 * steep);
  for (let j = 0; j < n; j++) {
    const q = order[j];
    const g = along[q];
    // The gradient seen lies along the way: its part along the way is the whole of it, or 0 for a boat at rest.
    for (let i = j; i < n; i++) {
      const p = order[i];
      const product = g * along[p];
      let c = product * LAG * LAG;
      if (leg[q] === leg[p])
        c += bias + OFFSET * OFFSET * product * (wayEast[p] * wayEast[q] + wayNorth[p] * wayNorth[q]);
      errors[j * MOST_LIGHT + i] = c;
    }
    errors[j * MOST_LIGHT + j] += noise[j];
  }
}
