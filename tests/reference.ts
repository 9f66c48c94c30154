import { fileURLToPath } from 'node:url';

const isSource = import.meta.url.endsWith('.ts');

/** Path of a file of reference values, when run as source or from `dist`. */
export const reference = (name: string): string =>
  fileURLToPath(new URL(`${isSource ? '..' : '../..'}/fixtures/reference/${name}`, import.meta.url));
