export { type ByteSource, fileSource, memorySource } from './byte-source.ts';
export { KNOWN_NAMES, plainColumnName, readColumnName } from './column-names.ts';
export { parseCsvBytes } from './csv-file.ts';

export { positionColumns } from './csv-start.ts';
export { type DepthRules, writtenDepthFault } from './depth-faults.ts';
export { decodeBytes, headOf, sniffBytes } from './encodings.ts';
export { type Fixes, readFixes } from './fixes.ts';
export { isLogTime, latestTime } from './layout.ts';
export { closedAccount, flagNothing } from './log-end.ts';
export { defaultReaderOptions, type ReaderOptions, readerOptions } from './reader-options.ts';
export { createRowColumns, reserveRows, toLogPart } from './row-columns.ts';
export { readCsvSoundings, readSource } from './sounding-logs.ts';
export { createTally, type Tally } from './tally.ts';
