import { createRequire } from 'node:module';
import type iconvLite from 'iconv-lite';

const require = createRequire(import.meta.url);

/** Returns the library for encodings besides UTF-8 and UTF-16, loaded on first use: few files need it. */
export const iconv = (): typeof iconvLite => require('iconv-lite');
