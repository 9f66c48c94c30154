export type Heartbeat = ReturnType<typeof createHeartbeat>;

/** Index of the current step in the shared Int32Array. */
const STEP = 0;
/** Index of the number of steps begun. */
const COUNTER = 1;
/** Value of the current step between two steps. */
const BETWEEN_STEPS = -1;
/** Interval at which `watchHeartbeat` checks, ms; judgment. */
const WATCH_INTERVAL = 200;

/**
 * Keeps the current step of a thread in shared memory, so that a plugin that hangs or exits can be named.
 *
 * @param buffer Shared memory of an existing heartbeat; new if absent.
 */
export function createHeartbeat(buffer?: SharedArrayBuffer) {
  const shared = buffer ?? new SharedArrayBuffer(2 * Int32Array.BYTES_PER_ELEMENT);
  const beat = new Int32Array(shared);
  if (buffer === undefined) beat[STEP] = BETWEEN_STEPS;
  return {
    buffer: shared,
    enter(step: number): void {
      Atomics.store(beat, STEP, step);
      Atomics.add(beat, COUNTER, 1);
    },
    leave: (): void => void Atomics.store(beat, STEP, BETWEEN_STEPS),
    current(): number | undefined {
      const step = Atomics.load(beat, STEP);
      return step === BETWEEN_STEPS ? undefined : step;
    },
  };
}

/** Calls `onHung` once a step takes longer than `patience` seconds. @returns Function that ends the watch. */
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
