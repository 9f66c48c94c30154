import { createRequire } from 'node:module';
import type iconvLite from 'iconv-lite';

const require = createRequire(import.meta.url);

/** The library for encodings other than UTF-8 and UTF-16, loaded at the first use: few files are written in them. */
export const iconv = (): typeof iconvLite => require('iconv-lite');
