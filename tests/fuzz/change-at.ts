import fs from 'node:fs';
import { syncBuiltinESMExports } from 'node:module';
import { basename } from 'node:path';
import { LOG_CHANGES } from './log-changes.ts';

/** Size of a chunk, bytes; small, so that a log is read in many steps. */
const CHUNK_BYTES = 8192;

/**
 * Loaded before a program (`node --import`). Changes the log `a.csv` when a number of chunks have been read,
 * as set in `LOG_CHANGE` (such as `replaced 12`), and prints the number of chunks at exit.
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
