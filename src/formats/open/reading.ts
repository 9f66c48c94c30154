import {
  type Projection,
  type ReaderContext,
  type ReaderInput,
  Refusal,
} from '../../../shared/contract/index.ts';
import { readerMessages as says } from '../../../shared/text/index.ts';
import { decodeBytes } from '../csv/index.ts';

/** Text of bytes in UTF-8, or windows-1252 when they are not UTF-8. */
export const textOf = (bytes: Uint8Array): string => decodeBytes(bytes).text;

/** Text of the first bytes of a file; its last character may be cut. */
export const headText = (head: Uint8Array, most = 4096): string =>
  new TextDecoder('windows-1252').decode(head.subarray(0, most)).replace(/^\u00ef\u00bb\u00bf/, '');

/** True when the bytes begin with the bytes `first`. */
export const startsWith = (bytes: Uint8Array, first: readonly number[]): boolean =>
  first.every((byte, i) => bytes[i] === byte);

/**
 * Result of a library that reads a file. @throws Refusal when the library fails: the file is damaged, or is not what
 * its first bytes indicate.
 */
export async function whole<T>(file: string, kind: string, work: () => T | Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (cause) {
    if (cause instanceof Refusal) throw cause;
    throw new Refusal([says.damaged({ file }, kind, cause instanceof Error ? cause.message : String(cause))]);
  }
}

/** Coordinate system that says that positions are degrees. */
export const DEGREES = 'EPSG:4326';

/** The coordinate system in the `.prj` file next to an input, if there is one. */
export async function systemBeside(sibling: ReaderInput['sibling']): Promise<string | undefined> {
  const prj = await sibling('.prj');
  return prj && textOf(prj);
}

export const fitDegrees = (
  places: readonly (readonly [x: number, y: number, ...rest: unknown[]])[],
): boolean => places.every(([x, y]) => Math.abs(x) <= 360 && Math.abs(y) <= 90);

/**
 * Conversion of positions to degrees. Positions already are degrees if the file says so, or if the file says nothing and
 * the positions fit; any other positions are on a map grid.
 */
export const degreesFrom = async (
  said: string | undefined,
  isFit: boolean,
  context: ReaderContext,
): Promise<Projection> =>
  said === DEGREES || (said === undefined && isFit) ? (x, y) => [x, y] : context.projection(said);

/** A buffer that holds exactly these bytes. */
export const bufferOf = (bytes: Uint8Array): ArrayBuffer => Uint8Array.from(bytes).buffer;

/** Greatest ratio of an entry's length to its packed length: the limit of deflate plus a margin. */
const DENSEST = 1100;

/** Whether the stated length of a zip entry is possible. A false length would take memory for nothing. */
export const canBeSoLong = (
  { size, originalSize }: { readonly size: number; readonly originalSize: number },
  archive: Uint8Array,
): boolean => originalSize <= Math.min(size, archive.length) * DENSEST + 64;
