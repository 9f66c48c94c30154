import { readFileSync } from 'node:fs';

/** Version of the package. The built program lies one folder deeper than the sources. */
export const VERSION: string = /* @__PURE__ */ readVersion(['../package.json', '../../package.json']);

function readVersion(paths: readonly string[]): string {
  for (const path of paths) {
    try {
      return (JSON.parse(readFileSync(new URL(path, import.meta.url), 'utf8')) as { version: string })
        .version;
    } catch (cause) {
      if ((cause as NodeJS.ErrnoException).code !== 'ENOENT') throw cause;
    }
  }
  throw new Error('package.json is missing');
}
