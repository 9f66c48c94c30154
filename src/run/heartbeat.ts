/**
 * Shared state of a thread that runs plugins: its current step and waypoint.
 *
 * Lets a supervisor name a plugin that hangs or exits.
 */
export interface Heartbeat {
  readonly buffer: SharedArrayBuffer;
  /** Marks the start of a step. @param waypoint Index of the waypoint, or -1 in stages without one. */
  enter(step: number, waypoint: number): void;
  /** Marks the end of a step. */
  leave(): void;
  /** The step running now; undefined between steps. */
  current(): { readonly step: number; readonly waypoint: number } | undefined;
}

/** Positions in the shared Int32Array. */
const WAYPOINT = 0;
const STEP = 1;
const COUNTER = 2;
const LENGTH = 3;
const BETWEEN_STEPS = -1;
/** Interval at which a supervisor checks, ms. */
const WATCH_INTERVAL = 200;

export function createHeartbeat(buffer?: SharedArrayBuffer): Heartbeat {
  const shared = buffer ?? new SharedArrayBuffer(LENGTH * Int32Array.BYTES_PER_ELEMENT);
  const beat = new Int32Array(shared);
  if (buffer === undefined) beat[STEP] = BETWEEN_STEPS;
  return {
    buffer: shared,
    enter(step, waypoint) {
      Atomics.store(beat, WAYPOINT, waypoint);
      Atomics.store(beat, STEP, step);
      Atomics.add(beat, COUNTER, 1);
    },
    leave: () => {
      Atomics.store(beat, STEP, BETWEEN_STEPS);
    },
    current() {
      const step = Atomics.load(beat, STEP);
      return step === BETWEEN_STEPS ? undefined : { step, waypoint: Atomics.load(beat, WAYPOINT) };
    },
  };
}

/**
 * Calls `onHung` once a step has taken longer than `patience` seconds. @returns A function that ends the watch.
 */
export function watchHeartbeat(heartbeat: Heartbeat, patience: number, onHung: () => void): () => void {
  const beat = new Int32Array(heartbeat.buffer);
  let counter = -1;
  let since = Date.now();
  const timer = setInterval(() => {
    const now = Atomics.load(beat, COUNTER);
    if (now !== counter || heartbeat.current() === undefined) {
      counter = now;
      since = Date.now();
    } else if (Date.now() - since > patience * 1000) {
      clearInterval(timer);
      onHung();
    }
  }, WATCH_INTERVAL);
  return () => clearInterval(timer);
}
