import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { defineConfig } from 'rolldown';

/** What starts on its own: the program, its threads, and the package as plugins import it. */
const ENTRIES = ['cli', 'run/threads/thread'];

const PROGRAM = fileURLToPath(new URL('cli.ts', import.meta.url));
/** The main job, put together in two files: what every command line of it needs, and what a run needs besides. */
const MAIN = fileURLToPath(new URL('cli/enrich.ts', import.meta.url));

/**
 * Puts the program together in a few files, as Node takes longer to find and load hundreds of small ones than to run them.
 *
 * Threads find their files by their path from the folder: see `src/program-files.ts`.
 */
const program = defineConfig({
  input: {
    ...Object.fromEntries(ENTRIES.map((entry) => [entry, `src/${entry}.ts`])),
    index: 'shared/index.ts',
  },
  platform: 'node',
  // Compiles the person's own plugins, and finds its parts by itself.
  external: ['jiti'],
  plugins: [licenses('licenses.txt')],
  output: {
    dir: 'dist/program',
    format: 'esm',
    cleanDir: true,
    entryFileNames: '[name].js',
    chunkFileNames: '[name]-[hash].js',
    codeSplitting: { includeDependenciesRecursively: false, groups: [{ name: partOfMain }] },
  },
});

/** Script of the boat page, for a browser: the writer of the page puts it into the file (`packedFile`). */
const boatPage = defineConfig({
  input: { 'boat-page': 'src/boat/page/main.ts' },
  platform: 'browser',
  plugins: [licenses('boat-page-licenses.txt')],
  output: { dir: 'dist/program', format: 'iife', minify: true, entryFileNames: '[name].js' },
});

export default [program, boatPage];

/** The file that a module of the main job goes to; the bundler finds one for the others. */
function partOfMain(module, graph) {
  if (reached([PROGRAM], graph).has(module)) return null;
  if (reached([MAIN], graph).has(module)) return 'main-start';
  return reached(graph.getModuleInfo(MAIN).dynamicallyImportedIds, graph).has(module) ? 'main-run' : null;
}

/** Modules with all that they import, directly or not; without what is imported only when needed. */
function reached(modules, graph) {
  const found = new Set(modules);
  for (const module of found)
    for (const imported of graph.getModuleInfo(module)?.importedIds ?? []) found.add(imported);
  return found;
}

/** The licenses of the libraries that are put in, in one file beside the program: they ask for no more. */
function licenses(fileName) {
  return {
    name: 'licenses',
    generateBundle(_options, bundle) {
      const modules = Object.values(bundle).flatMap((file) => (file.type === 'chunk' ? file.moduleIds : []));
      const packages = new Set(
        modules.flatMap((id) => id.match(/^.*\/node_modules\/(?:@[^/]+\/)?[^/]+/) ?? []),
      );
      this.emitFile({
        type: 'asset',
        fileName,
        source: [...packages].sort().map(licenseOf).join('\n\n'),
      });
    },
  };
}

function licenseOf(folder) {
  const { name, version, license, author } = JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8'));
  const file = readdirSync(folder).find((found) => /^licen[sc]e/i.test(found));
  const by = typeof author === 'object' ? author.name : author;
  const text =
    file === undefined ? `${license} license, ${by}` : readFileSync(join(folder, file), 'utf8').trim();
  return `${name} ${version}\n\n${text}`;
}
