import { fillSequence, PLAIN_STYLE } from './insertion.ts';
import { planRoom, raiseTables, type ScoreTables, Shortlist, screenGap } from './screening.ts';
import { pushPacked, type Sequence, scoreSequence, spotOf, walkFrom } from './sequence.ts';
import type { Walk } from './walk.ts';

/** Value of a plan and when it ends; of two plans of equal value the earlier end is better. */
export interface Score {
  readonly value: number;
  readonly end: number;
}

/** True when a plan is better; both sides are rounded first, so that no round of moves leads back. */
export function isBetter(a: Score, b: Score): boolean {
  const [first, second] = [Math.round(a.value / VALUE_STEP), Math.round(b.value / VALUE_STEP)];
  return first === second ? Math.round(a.end / END_STEP) < Math.round(b.end / END_STEP) : first > second;
}

/** Fish, and s: differences below are rounding. */
const VALUE_STEP = 1e-7;
const END_STEP = 1e-4;

export interface Found {
  readonly sequence: Sequence;
  readonly score: Score;
}

/**
 * Local search: turns parts round, moves runs of stops, changes sides and stays, replaces stops, until
 * nothing helps; `thorough` also takes each stop out and fills the plan anew.
 *
 * @returns The improved sequence (a new array) and its score.
 */
export function improve(tables: ScoreTables, walk: Walk, sequence: Sequence, thorough: boolean): Found {
  const search = new Climb(tables, walk, sequence);
  const moves = thorough
    ? [changeStops, reorder, replaceStops, shareStays, trade]
    : [changeStops, reorder, replaceStops, shareStays];
  while (moves.some((move) => move(search))) {
    fillSequence(tables, walk, search.sequence, PLAIN_STYLE);
    search.score = scoreSequence(walk, tables.problem.stays.length, search.sequence);
  }
  return { sequence: search.sequence, score: search.score };
}

/** The plan that a local search stands at; takes any better one it is offered. */
class Climb {
  readonly tables: ScoreTables;
  readonly walk: Walk;
  readonly stays: number;
  sequence: Sequence;
  score: Score;

  constructor(tables: ScoreTables, walk: Walk, sequence: Sequence) {
    this.tables = tables;
    this.walk = walk;
    this.stays = tables.problem.stays.length;
    this.sequence = sequence.slice();
    this.score = scoreSequence(walk, this.stays, sequence);
  }

  /** Walks the first `from` stops anew. */
  standAt(from: number): void {
    this.walk.popTo(0);
    for (let at = 0; at < from; at++) pushPacked(this.walk, this.stays, this.sequence[at]);
  }

  /** Takes a copy of a sequence if it is better; the walk holds its first `from` stops. */
  offer(candidate: Sequence, from: number): boolean {
    this.walk.popTo(from);
    if (!walkFrom(this.walk, this.stays, candidate, from)) return false;
    const score = { value: this.walk.total, end: this.walk.end };
    if (!isBetter(score, this.score)) return false;
    this.sequence = candidate.slice();
    this.score = score;
    return true;
  }
}

/** Another side or stay for one stop, the sides of two stops at one spot exchanged, or a stop dropped. */
function changeStops(climb: Climb): boolean {
  const { sequence, stays } = climb;
  const perSpot = 2 * stays;
  for (let at = 0; at < sequence.length; at++) {
    climb.standAt(at);
    const first = sequence[at] - (sequence[at] % perSpot);
    for (let packed = first; packed < first + perSpot; packed++) {
      if (packed !== sequence[at] && climb.offer(sequence.with(at, packed), at)) return true;
    }
    for (let later = at + 1; later < sequence.length; later++) {
      if (sequence[later] - (sequence[later] % perSpot) !== first) continue;
      const turned = sequence.with(at, first + ((sequence[at] - first + stays) % perSpot));
      turned[later] = first + ((sequence[later] - first + stays) % perSpot);
      if (climb.offer(turned, at)) return true;
    }
    if (climb.offer(sequence.toSpliced(at, 1), at)) return true;
  }
  return false;
}

/**
 * Reverses a part (2-opt), moves up to three stops elsewhere (or-opt), or exchanges two stops.
 *
 * Moves that add more running than slack and waits can take are passed over without walking them.
 */
function reorder(climb: Climb): boolean {
  const { sequence } = climb;
  const trial = sequence.slice();
  const lengths = runLengths(climb);
  for (let from = 0; from < sequence.length - 1; from++) {
    climb.standAt(from);
    for (let to = from + 2; to <= sequence.length; to++) {
      if (lengths.reversed(from, to) <= lengths.room) {
        for (let at = from; at < to; at++) trial[at] = sequence[from + to - 1 - at];
        if (climb.offer(trial, from)) return true;
      }
      if (to - from > 3 && lengths.exchanged(from, to) <= lengths.room) {
        for (let at = from + 1; at < to - 1; at++) trial[at] = sequence[at];
        trial[from] = sequence[to - 1];
        trial[to - 1] = sequence[from];
        if (climb.offer(trial, from)) return true;
      }
      for (let cut = from + 1; cut < to; cut++) {
        if (cut - from > LONGEST_MOVE && to - cut > LONGEST_MOVE) continue;
        if (lengths.turned(from, cut, to) > lengths.room) continue;
        for (let at = cut; at < to; at++) trial[from + at - cut] = sequence[at];
        for (let at = from; at < cut; at++) trial[to - cut + at] = sequence[at];
        if (climb.offer(trial, from)) return true;
      }
    }
    for (let at = from; at < sequence.length; at++) trial[at] = sequence[at];
  }
  return false;
}

/** Running that a move adds, s, and the most of it that can be feasible or of use. */
interface RunLengths {
  readonly room: number;
  reversed(from: number, to: number): number;
  exchanged(from: number, to: number): number;
  turned(from: number, cut: number, to: number): number;
}

function runLengths(climb: Climb): RunLengths {
  const { tables, walk, sequence } = climb;
  const { count, travel } = tables.problem;
  climb.standAt(sequence.length);
  // Position 0 is the start, the last one the finish.
  const nodes = [count, ...sequence.map((packed) => spotOf(tables.problem, packed)), count + 1];
  const run = (a: number, b: number): number => travel[nodes[a] * (count + 2) + nodes[b]];
  const forth = new Float64Array(nodes.length);
  const back = new Float64Array(nodes.length);
  let waits = 0;
  for (let at = 1; at < nodes.length; at++) {
    forth[at] = forth[at - 1] + run(at - 1, at);
    back[at] = back[at - 1] + run(at, at - 1);
    if (at <= sequence.length) waits += walk.begin[at] - walk.arrival[at];
  }
  const room =
    tables.isTimeless && new Set(nodes).size === nodes.length
      ? -LEAST_SAVING
      : tables.problem.finish - walk.end + waits;
  return {
    room,
    reversed: (from, to) =>
      run(from, to) + back[to] - back[from + 1] + run(from + 1, to + 1) - (forth[to + 1] - forth[from]),
    exchanged: (from, to) =>
      run(from, to) +
      run(to, from + 2) +
      run(to - 1, from + 1) +
      run(from + 1, to + 1) -
      (run(from, from + 1) + run(from + 1, from + 2) + run(to - 1, to) + run(to, to + 1)),
    turned: (from, cut, to) =>
      run(from, cut + 1) +
      run(to, from + 1) +
      run(cut, to + 1) -
      (run(from, from + 1) + run(cut, cut + 1) + run(to, to + 1)),
  };
}

/** s; where a move can only save running, less than this is rounding. */
const LEAST_SAVING = 1e-3;

const LONGEST_MOVE = 3;
/** Replacements tried exactly at each stop, of spots not in the plan and of spots in it. */
const REPLACEMENTS = 8;
const REPLACE_STYLE = { exponent: 1, timePower: 0, noise: 0, random: () => 0.5 } as const;

/** Another stop in the place of one. */
function replaceStops(climb: Climb): boolean {
  const { sequence, walk, tables } = climb;
  raiseTables(tables, 1);
  climb.standAt(sequence.length);
  const room = planRoom(tables.problem, walk, sequence);
  for (let at = sequence.length - 1; at >= 0; at--) {
    climb.standAt(at);
    const outside = new Shortlist(REPLACEMENTS);
    const inside = new Shortlist(REPLACEMENTS);
    room.used[room.nodes[at]]--;
    const gap = { position: at, next: room.nodes[at + 1], latest: room.latest[at + 1] };
    screenGap(tables, walk, gap, room.used, REPLACE_STYLE, outside, inside);
    room.used[room.nodes[at]]++;
    for (const candidate of [...outside.items, ...inside.items]) {
      if (climb.offer(sequence.with(at, candidate.packed), at)) return true;
    }
  }
  return false;
}

/** One stop shorter and another longer by a step. */
function shareStays(climb: Climb): boolean {
  const { sequence, stays } = climb;
  const trial = sequence.slice();
  for (let first = 0; first < sequence.length - 1; first++) {
    climb.standAt(first);
    for (let later = first + 1; later < sequence.length; later++) {
      for (const step of [-1, 1]) {
        if (!hasStep(sequence[first], step, stays) || !hasStep(sequence[later], -step, stays)) continue;
        trial[first] = sequence[first] + step;
        trial[later] = sequence[later] - step;
        if (climb.offer(trial, first)) return true;
      }
      trial[later] = sequence[later];
    }
    trial[first] = sequence[first];
  }
  return false;
}

/** True when a packed stop can be a step longer (1) or shorter (-1). */
const hasStep = (packed: number, step: number, stays: number): boolean =>
  step < 0 ? packed % stays > 0 : packed % stays < stays - 1;

/** One stop taken out, and what fits best put in. */
function trade(climb: Climb): boolean {
  for (let at = 0; at < climb.sequence.length; at++) {
    const candidate = climb.sequence.toSpliced(at, 1);
    fillSequence(climb.tables, climb.walk, candidate, PLAIN_STYLE);
    climb.walk.popTo(0);
    if (climb.offer(candidate, 0)) return true;
  }
  return false;
}
