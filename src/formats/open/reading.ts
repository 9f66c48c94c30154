import { Refusal } from '../../../shared/contract/index.ts';
import { fileDamaged } from '../../../shared/text/index.ts';

/** Text of bytes: UTF-8, or windows-1252 where they are not; both agree on what numbers are made of. */
export function textOf(bytes: Uint8Array): string {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    return new TextDecoder('windows-1252').decode(bytes);
  }
}

/** Text of the first bytes of a file, whose last character may be cut. */
export const headText = (head: Uint8Array, most = 4096): string =>
  new TextDecoder('windows-1252').decode(head.subarray(0, most)).replace(/^\u00ef\u00bb\u00bf/, '');

/** True when bytes begin with the given ones. */
export const startsWith = (bytes: Uint8Array, first: readonly number[]): boolean =>
  first.every((byte, i) => bytes[i] === byte);

/**
 * What a library makes of a file. @throws Refusal when it cannot: the file is damaged, or not what its first bytes
 * say.
 */
export async function whole<T>(file: string, kind: string, work: () => T | Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (cause) {
    if (cause instanceof Refusal) throw cause;
    throw new Refusal([fileDamaged({ file }, kind, cause instanceof Error ? cause.message : String(cause))]);
  }
}

/** A buffer of just these bytes. */
export const bufferOf = (bytes: Uint8Array): ArrayBuffer => Uint8Array.from(bytes).buffer;

/** No entry can be longer than this many times its packed bytes (the limit of deflate), and a little. */
const DENSEST = 1100;

/** Whether an entry of a zip archive can be as long as it says: one that lies would take memory for nothing. */
export const canBeSoLong = (
  { size, originalSize }: { readonly size: number; readonly originalSize: number },
  archive: Uint8Array,
): boolean => originalSize <= Math.min(size, archive.length) * DENSEST + 64;
