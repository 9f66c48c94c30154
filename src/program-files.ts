/**
 * Returns the URL of a module that is started on its own: the program itself or a thread. Relative paths are
 * the same in the sources, in the compiled files and in the bundle in `dist/program`.
 *
 * @param path Path in `src` without extension.
 */
export const programFile = (path: string): URL =>
  new URL(`./${path}.${isSource ? 'ts' : 'js'}`, import.meta.url);

const isSource = import.meta.url.endsWith('.ts');

/** Returns the URL of a file that the build makes for a browser, such as a page's script. */
export const packedFile = (name: string): URL =>
  new URL(
    isSource ? `../dist/program/${name}` : isCompiled ? `../program/${name}` : `./${name}`,
    import.meta.url,
  );

const isCompiled = import.meta.url.endsWith('/src/program-files.js');
