import { createHash } from 'node:crypto';
import { dirname, join } from 'node:path';
import type { Report } from '../../../shared/contract/index.ts';
import type { LakeTask } from '../../../shared/lake/index.ts';
import { storeMessages as says } from '../../../shared/text/index.ts';
import { readStateFile, writeStateFile } from '../../files/index.ts';
import { VERSION } from '../../version.ts';
import { reasonOf } from './reason-of.ts';
import { STORE_FOLDER } from './store-folder.ts';

export type TileStore = ReturnType<typeof openTileStore>;

const FILE = 'lake.tiles';
/** Maximum size of the store, bytes: enough for a lake of about 40 km2. */
const MAX_BYTES = 2 ** 28;
const HASH_BYTES = 32;
/** Returns the first bytes of the file. Raise the 3 when the layout or the content of a tile changes. */
const magic = (): Buffer => createHash('sha256').update(`downslope lake tiles 3, ${VERSION}`).digest();

/**
 * Opens the store of a lake, next to its first log. A later run solves only the tiles whose data changed.
 *
 * The file holds the magic bytes and a SHA-256 of everything that follows. Then each tile has the SHA-256 of
 * its task, the number of its values (uint32) and the values (float32), little-endian. A task holds
 * everything that its result depends on, so a stored result equals a newly solved one. A file that is
 * damaged, foreign or of another version is reported and replaced.
 */
export function openTileStore(firstLog: string, report: Report) {
  const path = join(dirname(firstLog), STORE_FOLDER, FILE);
  const known = readTiles(path, report);
  const names: string[] = [];
  const kept = new Map<string, Float32Array>();
  let keptCount = 0;
  let isNew = false;
  return {
    /** Returns the result of a task if an earlier run solved the task. Must be called once for each task. */
    find(task: LakeTask): Float32Array | undefined {
      const name = nameOf(task);
      names.push(name);
      const found = known.get(name);
      isNew ||= found === undefined;
      return found;
    },
    /** Stores the next result. Results must come in the order of the calls of `find`. */
    keep(solved: Float32Array): void {
      kept.set(names[keptCount++], solved);
    },
    async close(): Promise<void> {
      if (!isNew) return;
      try {
        await writeStateFile(path, encode(kept));
      } catch (cause) {
        report(says['not-written lake']({ file: dirname(path) }, reasonOf(cause)));
      }
    },
  };
}

/** Returns the hash of a task: of its JSON text without the columns' values, then of the columns' bytes. */
function nameOf(task: LakeTask): string {
  const columns: ArrayBufferView[] = [];
  const text = JSON.stringify(task, (_, value) => {
    if (!ArrayBuffer.isView(value)) return value;
    columns.push(value);
    return value.byteLength;
  });
  const hash = createHash('sha256').update(text);
  for (const column of columns) hash.update(bytesOf(column));
  return hash.digest('hex');
}

const bytesOf = ({ buffer, byteOffset, byteLength }: ArrayBufferView): Uint8Array =>
  new Uint8Array(buffer, byteOffset, byteLength);

/** @throws Error when the tiles are too large for the store. */
function encode(tiles: ReadonlyMap<string, Float32Array>): Uint8Array {
  const size = [...tiles.values()].reduce(
    (sum, values) => sum + HASH_BYTES + 4 + values.byteLength,
    2 * HASH_BYTES,
  );
  if (size > MAX_BYTES)
    throw new Error(
      `it takes ${Math.ceil(size / 2 ** 20)} MiB, and at most ${MAX_BYTES / 2 ** 20} MiB are stored`,
    );
  const bytes = Buffer.alloc(size);
  magic().copy(bytes, 0);
  let at = 2 * HASH_BYTES;
  for (const [name, values] of tiles) {
    bytes.write(name, at, 'hex');
    bytes.writeUInt32LE(values.length, at + HASH_BYTES);
    bytes.set(bytesOf(values), at + HASH_BYTES + 4);
    at += HASH_BYTES + 4 + values.byteLength;
  }
  checksum(bytes).copy(bytes, HASH_BYTES);
  return bytes;
}

const checksum = (bytes: Uint8Array): Buffer =>
  createHash('sha256')
    .update(bytes.subarray(2 * HASH_BYTES))
    .digest();

function readTiles(path: string, report: Report): Map<string, Float32Array> {
  const tiles = new Map<string, Float32Array>();
  try {
    const read = readStateFile(path, MAX_BYTES);
    if (read === undefined) return tiles;
    const bytes = Buffer.from(read.buffer, read.byteOffset, read.byteLength);
    if (!bytes.subarray(0, HASH_BYTES).equals(magic())) throw new Error('it is of another version');
    if (!bytes.subarray(HASH_BYTES, 2 * HASH_BYTES).equals(checksum(bytes))) throw new Error('it is damaged');
    for (let at = 2 * HASH_BYTES; at < bytes.length; ) {
      const count = bytes.readUInt32LE(at + HASH_BYTES);
      const from = at + HASH_BYTES + 4;
      // Copied because 4-byte values must begin at a multiple of 4 in memory.
      const values = new Float32Array(new Uint8Array(bytes.subarray(from, from + 4 * count)).buffer);
      tiles.set(bytes.toString('hex', at, at + HASH_BYTES), values);
      at = from + 4 * count;
    }
  } catch (cause) {
    tiles.clear();
    report(says['rebuilt lake']({ file: path }, reasonOf(cause)));
  }
  return tiles;
}
