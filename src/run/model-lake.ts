import { setImmediate } from 'node:timers/promises';
import type { MessagePort } from 'node:worker_threads';
import type { Survey } from '../../shared/contract/index.ts';
import {
  type DrawForms,
  findLakeAreas,
  findLakeLines,
  formsOfDraws,
  formsOfMean,
  type LakeGrid,
  type LakeGridOptions,
  type LakeModel,
  type Lattice,
  lakeGridSteps,
  type Sought,
  solveTile,
  type TileTask,
} from '../../shared/lake/index.ts';
import type { TileStore } from './store/tile-store.ts';
import type { Thread, Threads } from './threads/threads.ts';

/** One task on the lake: a tile to solve, or random draws to find forms in. */
export type LakeWork =
  | { readonly tile: TileTask }
  | { readonly lattice: Lattice; readonly draws: readonly Float32Array[]; readonly sought: Sought };

export interface LakeModelOptions {
  readonly grid: LakeGridOptions;
  /** Number of threads that work at once, including this one. */
  readonly workers: number;
  /** Store with solved tiles of earlier runs; tiles of this run are added. */
  readonly store?: TileStore | undefined;
}

/** Number of tasks below which starting threads costs more than it saves. */
const WORTH_A_THREAD = 12;
/**
 * Draws per task: enough to share the setup among them, few enough to spread the work evenly over a few threads.
 */
const DRAWS_AT_ONCE = 4;
/** Share of the progress shown that the grid accounts for. */
const GRID_SHARE = 0.6;

/**
 * Models the whole lake, in this thread and others. The result does not depend on the number of threads or on the
 * store.
 *
 * @returns undefined without soundings. @throws RangeError when the soundings span too large an area for one
 *   grid.
 */
export async function modelLake(
  survey: Survey,
  { grid: gridOptions, workers, store }: LakeModelOptions,
  threads: Threads,
  progress: (share: number) => void,
): Promise<LakeModel | undefined> {
  const crew = new Crew(threads, workers);
  try {
    const steps = lakeGridSteps(survey, gridOptions);
    for (;;) {
      const step = steps.next();
      if (step.done) {
        if (step.value === undefined) return undefined;
        await store?.close();
        return await lookAt(step.value, crew, (share) => progress(GRID_SHARE + (1 - GRID_SHARE) * share));
      }
      const { count, taskAt, take, shareAt } = step.value;
      await crew.run<Float32Array>(
        count,
        (k) => {
          const tile = taskAt(k);
          const known = store?.find(tile);
          return known === undefined ? { work: { tile }, here: () => solveTile(tile) } : { known };
        },
        (k, solved) => {
          take(k, solved);
          store?.keep(solved);
          progress(GRID_SHARE * shareAt(k));
        },
      );
    }
  } finally {
    crew.close();
  }
}

async function lookAt(grid: LakeGrid, crew: Crew, progress: (share: number) => void): Promise<LakeModel> {
  const { columns, rows, cell, draws } = grid;
  const lattice = { columns, rows, cell };
  const mean = formsOfMean(grid);
  const { sought } = mean;
  const ofDraws: DrawForms[] = [];
  const count = Math.ceil(draws.length / DRAWS_AT_ONCE);
  await crew.run<DrawForms[]>(
    count,
    (k) => {
      const some = draws.slice(k * DRAWS_AT_ONCE, (k + 1) * DRAWS_AT_ONCE);
      return { work: { lattice, draws: some, sought }, here: () => formsOfDraws(lattice, some, sought) };
    },
    (k, forms) => {
      ofDraws.push(...forms);
      progress((k + 1) / count);
    },
  );
  const forms = { mean, draws: ofDraws };
  return { grid, lines: findLakeLines(grid, forms), areas: findLakeAreas(grid, forms) };
}

/** A task to be done in a thread or here, or its result when already known. */
type Piece<T> = { readonly work: LakeWork; readonly here: () => T } | { readonly known: T };

interface Member {
  readonly thread: Thread;
  readonly port: MessagePort;
}

/**
 * This thread plus as many others as allowed, which take tasks one by one. The other threads are started only
 * when there is enough to do.
 */
class Crew {
  readonly #threads: Threads;
  readonly #others: number;
  readonly #members: Member[] = [];

  constructor(threads: Threads, workers: number) {
    this.#threads = threads;
    this.#others = Math.max(0, workers - 1);
  }

  /**
   * Does all tasks. @param take Gets the answers in order, so that sums do not depend on which thread finished
   * first.
   */
  async run<T>(
    count: number,
    pieceAt: (k: number) => Piece<T>,
    take: (k: number, answer: T) => void,
  ): Promise<void> {
    let [next, taken] = [0, 0];
    const answers = new Map<number, T>();
    const done = (k: number, answer: T): void => {
      answers.set(k, answer);
      for (let first = answers.get(taken); first !== undefined; first = answers.get(taken)) {
        answers.delete(taken);
        take(taken++, first);
      }
    };
    /** The next task whose result is not known yet. */
    const begin = (): { readonly k: number; readonly work: LakeWork; readonly here: () => T } | undefined => {
      while (next < count) {
        const k = next++;
        const piece = pieceAt(k);
        if (!('known' in piece)) return { k, ...piece };
        done(k, piece.known);
      }
      return undefined;
    };
    const here = async (): Promise<void> => {
      for (let piece = begin(); piece !== undefined; piece = begin()) {
        done(piece.k, piece.here());
        // Lets messages through, so that idle threads get their next task.
        await setImmediate();
      }
    };
    const there = async (member: Member): Promise<void> => {
      for (let piece = begin(); piece !== undefined; piece = begin())
        done(piece.k, (await askMember(member, piece.work)) as T);
    };
    if (count >= WORTH_A_THREAD) this.#start();
    await Promise.all([...this.#members.map(there), here()]);
  }

  #start(): void {
    while (this.#members.length < this.#others) {
      const thread = this.#threads.take();
      this.#members.push({ thread, port: thread.begin('lake', undefined) });
    }
  }

  close(): void {
    for (const { thread, port } of this.#members.splice(0)) {
      port.close();
      this.#threads.give(thread);
    }
  }
}

function askMember({ thread, port }: Member, work: LakeWork): Promise<unknown> {
  return new Promise((resolve, reject) => {
    port.once('message', resolve);
    thread.ended.then((cause) => reject(cause ?? new Error('a thread ended before it answered')));
    port.postMessage(work);
  });
}
