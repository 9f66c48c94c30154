/** Shows the progress of long work on one line of a terminal; shows nothing elsewhere. */
export interface Progress {
  /** @param share 0 to 1, or undefined when unknown. */
  show(what: string, share?: number): void;
  /** Removes the line before other text is printed. */
  clear(): void;
}

/** Least time between two updates, ms. */
const INTERVAL = 100;

export function createProgress(stream: NodeJS.WriteStream): Progress {
  if (!stream.isTTY) return { show: () => {}, clear: () => {} };
  let last = 0;
  let started = 0;
  let task = '';
  let drawn = false;
  return {
    show(what, share) {
      const now = Date.now();
      if (what !== task) {
        task = what;
        started = now;
      } else if (now - last < INTERVAL) return;
      last = now;
      drawn = true;
      stream.write(
        `\r\u001b[K${what}${share === undefined ? '' : ` ${Math.floor(share * 100)}%${timeLeft(now - started, share)}`}`,
      );
    },
    clear() {
      if (drawn) stream.write('\r\u001b[K');
      drawn = false;
    },
  };
}

/** Time left at the rate so far, once that rate is reliable. */
function timeLeft(elapsed: number, share: number): string {
  if (elapsed < 2000 || share <= 0.02 || share >= 1) return '';
  return `, ${Math.ceil((elapsed * (1 - share)) / share / 1000)} s left`;
}
