/** A worker module beside this one: `.ts` where sources run as they are, `.js` when built. */
export function workerUrl(name: string): URL {
  const extension = import.meta.url.endsWith('.ts') ? 'ts' : 'js';
  return new URL(`./${name}.${extension}`, import.meta.url);
}
