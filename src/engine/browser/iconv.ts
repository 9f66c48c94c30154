import iconvLite from 'iconv-lite';

/** Replaces `formats/gpx/iconv.ts` in a browser, where a module cannot be loaded synchronously on first use. */
export const iconv = (): typeof iconvLite => iconvLite;
