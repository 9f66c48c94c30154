import { statSync } from 'node:fs';
import { Refusal } from '../../shared/contract/index.ts';
import { readInput } from '../files/index.ts';
import { fileSource, memorySource } from '../formats/csv/index.ts';
import { bytesOf, type OpenLog, siblingsOf } from './reading/read-log.ts';

/** Opens a log on disk, or standard input for `-`. Input that can be read only once is read into memory. */
export const openLog: OpenLog = async (file) => {
  if (file === '-')
    return {
      content: memorySource(file, readInput(file)),
      sibling: async () => undefined,
      isAlone: () => true,
    };
  const onDisk = await fileSource(file);
  let isAlone = true;
  const sibling = siblingsOf(file, (path) => {
    isAlone = false;
    return bytesIfThere(path);
  });
  const content = statSync(file).isFile() ? onDisk : memorySource(file, await bytesOf(onDisk));
  return { content, sibling, isAlone: () => isAlone };
};

export async function bytesIfThere(path: string): Promise<Uint8Array | undefined> {
  try {
    return await bytesOf(await fileSource(path));
  } catch (cause) {
    if (cause instanceof Refusal) return undefined;
    throw cause;
  }
}
