/** What takes the place of Node's on a page: nothing that libraries put off waits for input or output there. */
export const setImmediate = (run: () => void): void => queueMicrotask(run);
