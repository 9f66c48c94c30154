/**
 * A module of the program that runs on its own (the program itself, or a thread), by its path in `src` without extension.
 *
 * This file and those modules stand to each other as here in all three forms: source, compiled file by file, and put together
 * in `dist/program`.
 */
export const programFile = (path: string): URL =>
  new URL(`./${path}.${isSource ? 'ts' : 'js'}`, import.meta.url);

const isSource = import.meta.url.endsWith('.ts');

/** A file that the build puts together for others than Node, such as the script of a page: beside the program, in all forms. */
export const packedFile = (name: string): URL =>
  new URL(
    isSource ? `../dist/program/${name}` : isCompiled ? `../program/${name}` : `./${name}`,
    import.meta.url,
  );

const isCompiled = import.meta.url.endsWith('/src/program-files.js');
