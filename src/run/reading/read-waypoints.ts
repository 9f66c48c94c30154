import {
  type ReaderPlugin,
  type Reading,
  type ReadWaypoint,
  Refusal,
  type Report,
} from '../../../shared/contract/index.ts';
import { guarded, type Step } from '../../../shared/engine/index.ts';
import { readerMessages as says } from '../../../shared/text/index.ts';
import { createTally, type ReaderOptions } from '../../formats/csv/index.ts';
import { escapeXml } from '../../formats/gpx/index.ts';
import { accepts, DEEPEST, HEAD_BYTES, siblingsOf } from './read-log.ts';
import { readerContext } from './reader-context.ts';

/** Readers for waypoint files other than GPX. */
export interface WaypointReaders {
  readonly steps: readonly Step<ReaderPlugin>[];
  readonly options: ReaderOptions;
  /** Reads a file; undefined when there is no such file. */
  readonly bytesIfThere: (path: string) => Promise<Uint8Array | undefined>;
}

/**
 * Returns a waypoint file as GPX: made from its waypoints if a reader accepts the file, else unchanged. Of
 * the files in an archive, only the first is read.
 *
 * @throws Refusal when the reader fails or finds neither waypoints nor files, or when archives are nested too
 *   deeply.
 */
export async function asGpx(
  bytes: Uint8Array,
  file: string,
  readers: WaypointReaders,
  report: Report,
  depth = 0,
): Promise<Uint8Array> {
  const { steps, options } = readers;
  const head = bytes.subarray(0, HEAD_BYTES);
  const step = steps.find(({ plugin }) => accepts(plugin, head, file));
  if (step === undefined) return bytes;
  if (depth > DEEPEST) throw new Refusal([says.nested({ file })]);
  const tally = createTally(report, false);
  const { name } = step.plugin;
  const context = readerContext(file, options, [], tally, () => {});
  const input = { file, bytes, sibling: siblingsOf(file, readers.bytesIfThere) };
  const reading: Reading = await guarded(name, () => step.plugin.read(input, step.options as never, context));
  tally.flush();
  if (reading.waypoints !== undefined && reading.waypoints.length > 0) return gpxOf(reading.waypoints);
  for await (const inner of reading.files ?? [])
    if (inner.name !== '') return asGpx(inner.bytes, `${file}/${inner.name}`, readers, report, depth + 1);
  throw new Refusal([says['nothing-inside waypoints']({ file })]);
}

export function gpxOf(waypoints: readonly ReadWaypoint[]): Uint8Array {
  const element = (name: string, text: string | undefined): string =>
    text === undefined || text === '' ? '' : `<${name}>${escapeXml(text, 'utf-8')}</${name}>`;
  const lines = waypoints.map(
    ({ lat, lon, name, comment, symbol }) =>
      `<wpt lat="${lat.toFixed(9)}" lon="${lon.toFixed(9)}">${element('name', name)}${element('cmt', comment)}${element('sym', symbol)}</wpt>\n`,
  );
  const head =
    '<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="1.1" creator="waypoints" xmlns="http://www.topografix.com/GPX/1/1">\n';
  return new TextEncoder().encode(`${head}${lines.join('')}</gpx>\n`);
}
