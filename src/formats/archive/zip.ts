import type { UnzipFileInfo } from 'fflate';
import { defineReaderPlugin, Refusal } from '../../../shared/contract/index.ts';
import { readerMessages as says } from '../../../shared/text/index.ts';
import { isWorkbook } from '../excel/index.ts';
import { canBeSoLong, startsWith, whole } from '../open/index.ts';

/** Maximum unpacked size of an archive, bytes; judgment. */
const MAX_BYTES = 1 << 30;

/** Extensions of entries that may be logs. */
const LOG = /\.(?:csv|txt|tsv|dat|gpx|nmea|log|xyz|pts|geojson|json|asc|grd|tiff?|shp|xlsx|gz|zip)$/i;
/** Extensions of files that accompany a log. */
const BESIDE = /\.(?:dbf|shx|prj|cpg|sbn|sbx|qmd|xml)$/i;

/** Reader of zip archives (APPNOTE 6.3). Each log in an archive is read as a separate file. */
export const zip = defineReaderPlugin({
  name: 'zip',
  summary: 'Unpacks zip archives and reads the logs in them.',
  stage: 'reader',
  extensions: ['.zip'],
  options: {},
  sniff: (head, name) => startsWith(head, [0x50, 0x4b, 3, 4]) && !isWorkbook(head, name),
  async read({ file, bytes }, _options, context) {
    const { unzipSync } = await import('fflate');
    const other: string[] = [];
    let sum = 0;
    const filter = (entry: UnzipFileInfo): boolean => {
      const { name, originalSize } = entry;
      if (name.endsWith('/') || /(?:^|\/)(?:\.|__MACOSX\/)/.test(name)) return false;
      if (!LOG.test(name) && !BESIDE.test(name)) {
        other.push(name);
        return false;
      }
      sum += originalSize;
      if (sum > MAX_BYTES) throw new Refusal([says['archive-large']({ file }, MAX_BYTES >> 20)]);
      if (!canBeSoLong(entry, bytes)) throw new Error(`${name} has no such length`);
      return true;
    };
    const entries = await whole(file, 'a zip archive', () => unzipSync(bytes, { filter }));
    if (other.length > 0) context.report(says['passed-over']({ file }, other));
    const logs = Object.keys(entries)
      .filter((name) => LOG.test(name))
      .sort();
    if (logs.length === 0) throw new Refusal([says['nothing-inside']({ file }, 'a zip archive', 'a log')]);
    const sibling = (name: string) => async (extension: string) => {
      const wanted = name.replace(/\.[^.]*$/, extension).toLowerCase();
      const found = Object.keys(entries).find((other) => other.toLowerCase() === wanted);
      return found === undefined ? undefined : entries[found];
    };
    return {
      files: logs.map((name) => ({
        name,
        bytes: entries[name],
        isOptional: /\.(?:txt|json|log|dat)$/i.test(name),
        sibling: sibling(name),
      })),
    };
  },
});
