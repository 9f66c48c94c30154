import type { GpxDocument, GpxVersion } from './gpx-document.ts';

export const NAMESPACE = 'urn:downslope:gpx:1';
const OUR_PREFIX = 'ds';

const GPX_10 = 'http://www.topografix.com/GPX/1/0';
const GPX_11 = 'http://www.topografix.com/GPX/1/1';

/** True for the namespace of a later version of our elements. */
export const isNewerNamespace = (uri: string): boolean =>
  uri !== NAMESPACE && /^urn:downslope:gpx:\d+$/.test(uri);

export const isGpxNamespace = (uri: string): boolean => uri === GPX_10 || uri === GPX_11;

/** Returns the version of a GPX file from its namespace, else from the root's `version`, else 1.1. */
export function gpxVersion(uri: string, declared: string | undefined): GpxVersion {
  if (uri === GPX_10) return '1.0';
  if (uri === GPX_11) return '1.1';
  return declared === '1.0' ? '1.0' : '1.1';
}

/** Chooses a prefix for our namespace: one that the root declares and nothing redefines, or an unused one. */
export function choosePrefix(root: GpxDocument['root']) {
  for (const [prefix, uri] of Object.entries(root.namespaces)) {
    if (prefix !== '' && uri === NAMESPACE && root.prefixes.get(prefix)?.size === 1)
      return { prefix, isDeclared: true };
  }
  let prefix = OUR_PREFIX;
  for (let n = 1; root.prefixes.has(prefix); n++) prefix = `${OUR_PREFIX}${n}`;
  return { prefix, isDeclared: false };
}

/** Returns the namespace declaration that is inserted after the name in the root's start tag. */
export const declaration = (prefix: string): string => ` xmlns:${prefix}="${NAMESPACE}"`;
