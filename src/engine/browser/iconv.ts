import iconvLite from 'iconv-lite';

/** Replaces `formats/gpx/iconv.ts` in a browser, where no module can be loaded synchronously on first use. */
export const iconv = (): typeof iconvLite => iconvLite;
