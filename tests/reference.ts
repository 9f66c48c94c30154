import { fileURLToPath } from 'node:url';

const isSource = import.meta.url.endsWith('.ts');

/** Path of a file of outside values, whether this runs as source or from `dist`. */
export const reference = (name: string): string =>
  fileURLToPath(new URL(`${isSource ? '..' : '../..'}/fixtures/reference/${name}`, import.meta.url));
