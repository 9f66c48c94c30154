import { statSync } from 'node:fs';
import { basename, dirname, extname, join } from 'node:path';

/**
 * Returns the path of the enriched GPX of each input.
 *
 * With `inPlace`, the path is that of the input. Otherwise, for one input the path is `out`, else
 * `NAME.enriched.gpx` beside the input. For several inputs, or when `out` is a folder or ends in a slash,
 * files of that name go into the folder `out` or, without `out`, beside each input. Standard input goes to
 * standard output unless `out` is given.
 */
export const enrichedPaths = (
  files: readonly string[],
  out: string | undefined,
  inPlace: boolean,
): string[] => (inPlace ? [...files] : pathsFor(files, out, enrichedName));

/** Returns the path of each restored file, chosen like that of an enriched GPX but as `NAME.restored.gpx`. */
export const restoredPaths = (files: readonly string[], out: string | undefined): string[] =>
  pathsFor(files, out, (file) => `${basename(file, extname(file)).replace(/\.enriched$/i, '')}.restored.gpx`);

function pathsFor(
  files: readonly string[],
  out: string | undefined,
  nameOf: (file: string) => string,
): string[] {
  if (files.length === 1 && out !== undefined && !isFolder(out)) return [out];
  return files.map((file) => {
    if (file === '-') return out === undefined ? '-' : join(out, nameOf('waypoints.gpx'));
    return join(out ?? dirname(file), nameOf(file));
  });
}

function isFolder(path: string): boolean {
  if (/[\\/]$/.test(path)) return true;
  try {
    return statSync(path).isDirectory();
  } catch {
    // A missing or impossible path is reported when the outputs are checked.
    return false;
  }
}

function enrichedName(file: string): string {
  const extension = extname(file);
  // Waypoints from other formats go into a new GPX file.
  const isGpx = /^\.(?:gpx|xml)$/i.test(extension);
  return `${basename(file, extension)}.enriched${isGpx ? extension : '.gpx'}`;
}

/** Puts a suffix before the extension of a path: `a.gpx` and `-2` give `a-2.gpx`. */
export function withSuffix(path: string, suffix: string): string {
  if (suffix === '') return path;
  const extension = extname(path);
  return join(dirname(path), `${basename(path, extension)}${suffix}${extension}`);
}
