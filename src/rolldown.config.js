import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { defineConfig } from 'rolldown';

/** Entry points of the program: the command line and the threads. */
const ENTRIES = ['cli', 'run/threads/thread'];

const here = (path) => fileURLToPath(new URL(path, import.meta.url));

const PROGRAM = here('cli.ts');
/** Module of `enrich`, the main job. The module and its imports go into one file. */
const MAIN = here('cli/enrich.ts');

/**
 * Bundles the program into a few files, because Node takes longer to find and load hundreds of small files
 * than to run them. Threads find their files by path relative to the folder; see `src/program-files.ts`.
 */
const program = defineConfig({
  input: {
    ...Object.fromEntries(ENTRIES.map((entry) => [entry, `src/${entry}.ts`])),
    index: 'src/package.ts',
    testing: 'src/testing.ts',
  },
  platform: 'node',
  // jiti compiles user plugins and finds its own parts at run time.
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

/** Replacements for Node modules in a browser. */
const ON_A_PAGE = {
  'node:buffer': here('engine/browser/node-buffer.ts'),
  buffer: here('../node_modules/buffer/index.js'),
  string_decoder: here('../node_modules/string_decoder/lib/string_decoder.js'),
  events: here('../node_modules/events/events.js'),
  stream: here('../node_modules/readable-stream/lib/ours/browser.js'),
  fs: here('engine/browser/no-files.ts'),
};

/** The package for a browser: `enrich`, `check` and `plan` without Node. */
const browser = defineConfig({
  input: { index: 'src/package.ts' },
  platform: 'browser',
  plugins: [
    {
      name: 'on-a-page',
      resolveId(source, importer = '') {
        if (source === './iconv.ts') return here('engine/browser/iconv.ts');
        // Imports in `engine/browser` stay, because replacements there are built on the modules they replace.
        return importer.includes('engine/browser') ? null : ON_A_PAGE[source];
      },
    },
    licenses('licenses.txt'),
  ],
  transform: {
    inject: {
      Buffer: [here('engine/browser/node-buffer.ts'), 'Buffer'],
      setImmediate: [here('engine/browser/set-immediate.ts'), 'setImmediate'],
    },
  },
  // The remaining imports of Node are unused and are dropped.
  treeshake: { moduleSideEffects: (id) => !id.startsWith('node:') },
  external: (id) => id === 'jiti' || (id.startsWith('node:') && !(id in ON_A_PAGE)),
  output: {
    dir: 'dist/browser',
    format: 'esm',
    minify: true,
    cleanDir: true,
    entryFileNames: '[name].js',
    chunkFileNames: '[name]-[hash].js',
  },
});

/** Script of the boat page for a browser, which `renderBoatPage` inserts into the page. */
const boatPage = defineConfig({
  input: { 'boat-page': 'src/boat/page/main.ts' },
  platform: 'browser',
  plugins: [licenses('boat-page-licenses.txt')],
  output: { dir: 'dist/program', format: 'iife', minify: true, entryFileNames: '[name].js' },
});

export default [program, browser, boatPage];

/** Names the output file of a module of the main job; null lets the bundler choose. */
function partOfMain(module, graph) {
  if (reached([PROGRAM], graph).has(module)) return null;
  return reached([MAIN], graph).has(module) ? 'main' : null;
}

/** Returns modules with all their static imports, direct and indirect. */
function reached(modules, graph) {
  const found = new Set(modules);
  for (const module of found)
    for (const imported of graph.getModuleInfo(module)?.importedIds ?? []) found.add(imported);
  return found;
}

/** Writes the licenses of bundled libraries to one file next to the program, as the licenses require. */
function licenses(fileName) {
  return {
    name: 'licenses',
    generateBundle(_options, bundle) {
      const modules = Object.values(bundle).flatMap((file) => (file.type === 'chunk' ? file.moduleIds : []));
      const packages = new Set(
        modules.flatMap(
          (id) => id.replace(/^\0.*\?/, '').match(/^.*\/node_modules\/(?:@[^/]+\/)?[^/]+/) ?? [],
        ),
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
