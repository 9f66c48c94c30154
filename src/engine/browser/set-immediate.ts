/** Replaces Node's `setImmediate` in a browser; no library here uses it to wait for input or output. */
export const setImmediate = (run: () => void): void => queueMicrotask(run);
