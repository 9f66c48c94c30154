import { Refusal } from '../../shared/contract/diagnostic.ts';
import { enrichGpx } from '../../src/formats/gpx/enrich-gpx.ts';
import type { GpxDocument } from '../../src/formats/gpx/gpx-document.ts';
import { readGpx } from '../../src/formats/gpx/read-gpx.ts';
import { additionsFor, NO_LIMITS } from '../gpx/helpers.ts';

/** The result of one input. Any other result is a failure and thrown as an error. */
export type GpxOutcome = 'refused' | 'second-parser' | 'kept' | 'enriched';

/** Maximum CPU time for one small input, ms. */
const PATIENCE = 2000;

/**
 * Reads and enriches one input, then enriches the result again.
 *
 * @throws Error on any fault that is not a refusal: an untyped error, too much CPU time, additions that
 * cannot be removed again, or a second run that gives different bytes.
 */
export function checkGpx(bytes: Uint8Array): GpxOutcome {
  const started = process.cpuUsage();
  const document = readOrRefusal(bytes);
  if (document instanceof Refusal) {
    const isCut = /^gpx\/(tail|truncated)$/.test(document.diagnostics[0].code);
    if (isCut) accept(() => readGpx(bytes, 'fuzz.gpx', { repair: true }));
    return 'refused';
  }
  // `enrichGpx` itself checks that the additions can be removed, and consults a second parser.
  const once = accept(() => enrichGpx(document, additionsFor(document), NO_LIMITS).parts[0].bytes);
  if (once === undefined) return 'second-parser';
  const again = readGpx(once, 'fuzz.gpx');
  const twice = enrichGpx(again, additionsFor(again), NO_LIMITS).parts[0].bytes;
  if (!Buffer.from(twice).equals(once)) throw new Error('A second run gives other bytes.');
  if (document.ours.length === 0 && isFirstRun(document)) {
    const undone = enrichGpx(again, [], NO_LIMITS).parts[0].bytes;
    if (!Buffer.from(undone).equals(bytes) && !Buffer.from(undone).equals(undeclared(bytes)))
      throw new Error('The additions cannot be taken out again.');
  }
  const milliseconds = process.cpuUsage(started).user / 1000;
  if (milliseconds > PATIENCE) throw new Error(`Took ${Math.round(milliseconds)} ms.`);
  return once === document.bytes ? 'kept' : 'enriched';
}

/** Returns whether nothing in the file looks like an addition of this program. */
const isFirstRun = ({ utf8, waypoints }: GpxDocument): boolean =>
  waypoints.every(({ partner }) => partner === undefined) &&
  !/\[ds: /i.test(Buffer.from(utf8).toString('utf8'));

/**
 * Removes a declaration of our namespace from the input, because undoing removes one too even if nothing else
 * of ours was there, as after a chartplotter removed the rest.
 */
function undeclared(bytes: Uint8Array): Buffer {
  const declaration = [' ', 'x', 'm', 'l', 'n', 's', ':', '[\\w.-]', '=', '"', ...'urn:downslope:gpx:1', '"'];
  // In UTF-16 of either byte order, or in an ASCII-compatible encoding.
  const patterns = [(c: string) => `\\x00${c}`, (c: string) => `${c}\\x00`, (c: string) => c].map((form) =>
    declaration.map((c) => (c.startsWith('[') ? `(?:${form(c)})+` : form(c))).join(''),
  );
  return Buffer.from(
    Buffer.from(bytes)
      .toString('latin1')
      .replace(new RegExp(patterns.join('|')), ''),
    'latin1',
  );
}

function readOrRefusal(bytes: Uint8Array): GpxDocument | Refusal {
  try {
    return readGpx(bytes, 'fuzz.gpx');
  } catch (error) {
    if (error instanceof Refusal) return error;
    throw error;
  }
}

function accept<T>(work: () => T): T | undefined {
  try {
    return work();
  } catch (error) {
    if (error instanceof Refusal) return undefined;
    throw error;
  }
}
