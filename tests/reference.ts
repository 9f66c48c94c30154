import { fileURLToPath } from 'node:url';

const isSource = import.meta.url.endsWith('.ts');

/** Returns the path of a file of reference values, both when run from source and when compiled. */
export const reference = (name: string): string =>
  fileURLToPath(new URL(`${isSource ? '..' : '../..'}/fixtures/reference/${name}`, import.meta.url));
