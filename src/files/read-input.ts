import { closeSync, fstatSync, openSync, readFileSync, readSync } from 'node:fs';
import { Refusal } from '../../shared/contract/index.ts';
import { fileMessages as says } from '../../shared/text/index.ts';
import { codeOf } from './output-target.ts';

/** Maximum size of a file that Node reads whole, bytes. */
const LIMIT = 2 ** 31 - 1;

/**
 * Reads all bytes of an input; `-` is standard input.
 *
 * @throws Refusal when the input is too long, cannot be read, or changed while it was read.
 */
export function readInput(path: string): Uint8Array {
  let descriptor: number | undefined;
  try {
    descriptor = path === '-' ? 0 : openSync(path, 'r');
    const before = fstatSync(descriptor, { bigint: true });
    if (before.isDirectory()) throw new Refusal([says['read kind']({ file: path }, 'folder')]);
    if (before.size > LIMIT) throw new Refusal([says['too-long input']({ file: path }, Number(before.size))]);
    const bytes = path === '-' ? readStandardInput() : readFileSync(descriptor);
    const after = fstatSync(descriptor, { bigint: true });
    const isChanged = before.size !== after.size || before.mtimeNs !== after.mtimeNs;
    if (before.isFile() && (isChanged || BigInt(bytes.length) !== after.size)) {
      throw new Refusal([says.changed({ file: path })]);
    }
    return bytes;
  } catch (error) {
    if (error instanceof Refusal) throw error;
    throw new Refusal([says.read({ file: path }, codeOf(error))]);
  } finally {
    if (descriptor !== undefined && descriptor !== 0) closeSync(descriptor);
  }
}

/** Maximum number of bytes read from standard input in one call. */
const PORTION = 1 << 16;
/** Time between attempts while standard input has nothing ready, ms. */
const PAUSE = 10;

/** Reads standard input to its end, even from a non-blocking pipe. */
function readStandardInput(): Uint8Array {
  const pieces: Buffer[] = [];
  const idle = new Int32Array(new SharedArrayBuffer(4));
  for (;;) {
    const piece = Buffer.alloc(PORTION);
    try {
      const length = readSync(0, piece);
      if (length === 0) return Buffer.concat(pieces);
      pieces.push(piece.subarray(0, length));
    } catch (error) {
      if (codeOf(error) === 'EOF') return Buffer.concat(pieces);
      if (codeOf(error) !== 'EAGAIN') throw error;
      Atomics.wait(idle, 0, 0, PAUSE);
    }
  }
}
