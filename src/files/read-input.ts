import { closeSync, fstatSync, openSync, readFileSync } from 'node:fs';
import { Refusal } from '../../shared/diagnostics/diagnostic.ts';
import * as says from '../../shared/diagnostics/files.ts';
import { codeOf } from './output-target.ts';

/** Longest file read whole, bytes. */
const LIMIT = 2 ** 31 - 1;

/**
 * A whole input; `-` is standard input.
 *
 * @throws Refusal when it cannot be read, or changed while it was read.
 */
export function readInput(path: string): Uint8Array {
  let descriptor: number | undefined;
  try {
    descriptor = path === '-' ? 0 : openSync(path, 'r');
    const before = fstatSync(descriptor, { bigint: true });
    if (before.isDirectory()) throw new Refusal([says.inputUnreadable(path, 'a directory')]);
    if (before.size > LIMIT) throw new Refusal([says.inputTooLong(path, Number(before.size))]);
    const bytes = readFileSync(descriptor);
    const after = fstatSync(descriptor, { bigint: true });
    const isChanged = before.size !== after.size || before.mtimeNs !== after.mtimeNs;
    if (before.isFile() && (isChanged || BigInt(bytes.length) !== after.size)) {
      throw new Refusal([says.inputChanged(path)]);
    }
    return bytes;
  } catch (error) {
    if (error instanceof Refusal) throw error;
    throw new Refusal([says.inputUnreadable(path, codeOf(error))]);
  } finally {
    if (descriptor !== undefined && descriptor !== 0) closeSync(descriptor);
  }
}
