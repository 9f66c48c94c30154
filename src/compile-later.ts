import { setFlagsFromString } from 'node:v8';

/** Twice what the engine allows for by itself (132 KiB): bytes of bytecode that a function runs through. */
const BUDGET = 2 * 132 * 1024;

/**
 * Lets the engine look at a function for longer before it compiles it for the second time: the threads that do so take the
 * cores from those that work, and a run of a few seconds does not live to see the gain. Engines after that of Node 20 compile in
 * cheaper steps first, and have no such setting.
 */
export function compileLater(): void {
  if (process.versions.node.startsWith('20.')) setFlagsFromString(`--interrupt-budget=${BUDGET}`);
}
