/**
 * A module of the program that runs on its own (the program itself, or a thread), by its path in `src` without extension.
 *
 * This file and those modules stand to each other as here in all three forms: source, compiled file by file, and put together
 * in `dist/program`.
 */
export const programFile = (path: string): URL =>
  new URL(`./${path}.${isSource ? 'ts' : 'js'}`, import.meta.url);

const isSource = import.meta.url.endsWith('.ts');
