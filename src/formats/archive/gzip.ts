import { defineReaderPlugin, Refusal } from '../../../shared/contract/index.ts';
import { readerMessages as says } from '../../../shared/text/index.ts';
import { startsWith, whole } from '../open/index.ts';

/** Maximum unpacked size, bytes; judgment. A typical log of this size has about 17 million rows. */
const MAX_BYTES = 1 << 30;

/** Reader of gzip files (RFC 1952). */
export const gzip = defineReaderPlugin({
  name: 'gzip',
  summary: 'Unpacks gzip files and reads what is in them.',
  stage: 'reader',
  extensions: ['.gz'],
  options: {},
  sniff: (head) => startsWith(head, [0x1f, 0x8b, 8]),
  async read({ file, bytes }) {
    const unpacked = await whole(file, 'a gzip file', () => gunzip(file, bytes));
    const name = file.replace(/^.*[\\/]/, '').replace(/\.gz$/i, '');
    return { files: [{ name, bytes: unpacked }] };
  },
});

async function gunzip(file: string, bytes: Uint8Array): Promise<Uint8Array> {
  const stream = new Blob([bytes as Uint8Array<ArrayBuffer>]).stream();
  const reader = stream.pipeThrough(new DecompressionStream('gzip')).getReader();
  const chunks: Uint8Array[] = [];
  let length = 0;
  for (let next = await reader.read(); !next.done; next = await reader.read()) {
    chunks.push(next.value);
    length += next.value.length;
    if (length > MAX_BYTES) {
      await reader.cancel();
      throw new Refusal([says['archive-large']({ file }, MAX_BYTES >> 20)]);
    }
  }
  return Buffer.concat(chunks);
}
