export { gzip } from './gzip.ts';
export { zip } from './zip.ts';
