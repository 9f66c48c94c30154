import iconvLite from 'iconv-lite';

/** What takes the place of `formats/gpx/iconv.ts` on a page, where nothing is loaded at its first use without waiting. */
export const iconv = (): typeof iconvLite => iconvLite;
