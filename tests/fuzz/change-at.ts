import fs from 'node:fs';
import { syncBuiltinESMExports } from 'node:module';
import { basename } from 'node:path';
import { LOG_CHANGES } from './log-changes.ts';

/** Bytes; small, so that a log is read in many steps. */
const CHUNK_BYTES = 8192;

/**
 * Loaded before a program (`node --import`). Changes the log `a.csv` after a number of chunks have been read, as set
 * in `LOG_CHANGE` (`replaced 12`), and reports at the end how many were read.
 */
const [name, after] = (process.env.LOG_CHANGE ?? '').split(' ');
let chunks = 0;
const original = fs.createReadStream;

fs.createReadStream = (path, options) => {
  const given = typeof options === 'string' ? { encoding: options } : options;
  const stream = original(path, { ...given, highWaterMark: CHUNK_BYTES });
  if (basename(String(path)) !== 'a.csv') return stream;
  const read = stream[Symbol.asyncIterator].bind(stream);
  stream[Symbol.asyncIterator] = async function* () {
    for await (const chunk of read()) {
      if (++chunks === Number(after)) LOG_CHANGES[name](String(path));
      yield chunk;
    }
  } as typeof read;
  return stream;
};
syncBuiltinESMExports();
process.once('exit', () => console.error(`chunks read: ${chunks}`));
