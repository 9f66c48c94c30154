import {
  type Projection,
  type ReaderContext,
  type ReaderInput,
  Refusal,
} from '../../../shared/contract/index.ts';
import { readerMessages as says } from '../../../shared/text/index.ts';
import { decodeBytes } from '../csv/index.ts';

/** Decodes bytes as UTF-8, or as windows-1252 when they are not valid UTF-8. */
export const textOf = (bytes: Uint8Array): string => decodeBytes(bytes).text;

/** Decodes the first bytes of a file, `most` or fewer, as windows-1252: enough to recognize a format. */
export const headText = (head: Uint8Array, most = 4096): string =>
  new TextDecoder('windows-1252').decode(head.subarray(0, most)).replace(/^\u00ef\u00bb\u00bf/, '');

export const startsWith = (bytes: Uint8Array, first: readonly number[]): boolean =>
  first.every((byte, i) => bytes[i] === byte);

/**
 * Runs a library that reads a file.
 *
 * @param why What to say of the file when the library fails.
 * @throws Refusal when the library fails; the file then counts as damaged.
 */
export async function whole<T>(
  file: string,
  kind: string,
  work: () => T | Promise<T>,
  why?: string,
): Promise<T> {
  try {
    return await work();
  } catch (cause) {
    if (cause instanceof Refusal) throw cause;
    throw new Refusal([says.damaged({ file }, kind, why)]);
  }
}

/** Name of the coordinate system of positions in degrees. */
export const DEGREES = 'EPSG:4326';

/** Reads the coordinate system in the `.prj` file next to an input; undefined when there is none. */
export async function systemBeside(sibling: ReaderInput['sibling']): Promise<string | undefined> {
  const prj = await sibling('.prj');
  return prj && textOf(prj);
}

/** Returns whether all positions can be in degrees, also when each has its latitude first. */
export const fitDegrees = (
  places: readonly (readonly [x: number, y: number, ...rest: unknown[]])[],
): boolean =>
  places.every(([x, y]) => Math.abs(x) <= 360 && Math.abs(y) <= 90) ||
  places.every(([x, y]) => Math.abs(x) <= 90 && Math.abs(y) > 90 && Math.abs(y) <= 180);

/**
 * Returns a function that converts positions to degrees. Positions already are degrees if the file says so,
 * or if the file states no system and the positions fit. Other positions are on a map grid.
 */
export const degreesFrom = async (
  said: string | undefined,
  isFit: boolean,
  context: ReaderContext,
): Promise<Projection> =>
  said === DEGREES || (said === undefined && isFit) ? (x, y) => [x, y] : context.projection(said);

/** Copies bytes into a buffer that holds nothing else. */
export const bufferOf = (bytes: Uint8Array): ArrayBuffer => Uint8Array.from(bytes).buffer;

/** Maximum ratio of an entry's length to its packed length: the limit of deflate, 1032, plus a margin. */
const DENSEST = 1100;

/** Returns whether a zip entry can have the length that it states, which the library would allocate. */
export const canBeSoLong = (
  { size, originalSize }: { readonly size: number; readonly originalSize: number },
  archive: Uint8Array,
): boolean => originalSize <= Math.min(size, archive.length) * DENSEST + 64;
