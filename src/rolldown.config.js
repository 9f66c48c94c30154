import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { defineConfig } from 'rolldown';

/** What starts on its own: the program, its threads, and the package as plugins import it. */
const ENTRIES = ['cli', 'threads/thread'];

/**
 * Puts the program together in a few files, as Node takes longer to find and load hundreds of small ones than to run them.
 *
 * Threads find their files by their path from the folder: see `src/program-files.ts`.
 */
export default defineConfig({
  input: {
    ...Object.fromEntries(ENTRIES.map((entry) => [entry, `src/${entry}.ts`])),
    index: 'shared/index.ts',
  },
  platform: 'node',
  // Compiles the person's own plugins, and finds its parts by itself.
  external: ['jiti'],
  plugins: [licenses()],
  output: {
    dir: 'dist/program',
    format: 'esm',
    cleanDir: true,
    entryFileNames: '[name].js',
    chunkFileNames: '[name]-[hash].js',
  },
});

/** The licenses of the libraries that are put in, in one file beside the program: they ask for no more. */
function licenses() {
  return {
    name: 'licenses',
    generateBundle(_options, bundle) {
      const modules = Object.values(bundle).flatMap((file) => (file.type === 'chunk' ? file.moduleIds : []));
      const packages = new Set(
        modules.flatMap((id) => id.match(/^.*\/node_modules\/(?:@[^/]+\/)?[^/]+/) ?? []),
      );
      this.emitFile({
        type: 'asset',
        fileName: 'licenses.txt',
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
