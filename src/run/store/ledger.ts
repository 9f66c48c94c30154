import { dirname, join } from 'node:path';
import type { Report } from '../../../shared/contract/index.ts';
import { storeMessages as says } from '../../../shared/text/index.ts';
import { readStateFile, writeStateFile } from '../../files/index.ts';
import type { LedgerEntry } from '../../formats/gpx/index.ts';
import { reasonOf } from './reason-of.ts';
import { STORE_FOLDER } from './store-folder.ts';

/** Path of the record of written boat positions, relative to the folder of a log or waypoint file. */
const FILE = `${STORE_FOLDER}/given-out.json`;
const VERSION = 1;
const MAX_BYTES = 128 << 20;
/** Maximum number of boat positions in the record; judgment. The oldest are dropped. */
const MOST = 200_000;

/** Record of the boat positions that runs on a lake have written. */
export interface Ledger {
  /** Boat positions of earlier runs. */
  readonly given: readonly LedgerEntry[];
  /** Adds written positions. If this fails, the next run may not recognize these positions. */
  add(given: readonly LedgerEntry[]): Promise<void>;
}

/** Opens the ledger. @param beside A log of the lake, or else a waypoint file; its folder holds the store. */
export function openLedger(beside: string, report: Report): Ledger {
  const path = join(dirname(beside), FILE);
  const known = readLedger(path, report);
  return {
    given: known,
    async add(given) {
      if (given.length === 0) return;
      // Another run on the lake may have added entries since.
      const latest = readLedger(path, () => {});
      const merged = new Map(
        [...latest, ...given].map((entry) => [`${entry.name} ${entry.lat} ${entry.lon}`, entry]),
      );
      const record = { version: VERSION, given: [...merged.values()].slice(-MOST) };
      try {
        await writeStateFile(path, new TextEncoder().encode(`${JSON.stringify(record)}\n`));
      } catch (cause) {
        report(says['given-out not-written']({ file: path }, reasonOf(cause)));
      }
    },
  };
}

/** Reads the valid entries of a record; none if it is missing or unusable. An unusable record is reported. */
function readLedger(path: string, report: Report): LedgerEntry[] {
  try {
    const bytes = readStateFile(path, MAX_BYTES);
    if (bytes === undefined) return [];
    const { version, given } = JSON.parse(new TextDecoder().decode(bytes));
    if (version !== VERSION || !Array.isArray(given)) throw new Error('it is of another version');
    return given.filter(isGivenOut);
  } catch (cause) {
    report(
      says['given-out']({ file: path }, cause instanceof SyntaxError ? 'it is damaged' : reasonOf(cause)),
    );
    return [];
  }
}

function isGivenOut(entry: unknown): entry is LedgerEntry {
  if (typeof entry !== 'object' || entry === null) return false;
  const { lat, lon, ofLat = 0, ofLon = 0, ...texts } = entry as Record<string, unknown>;
  return (
    [lat, ofLat].every((degrees) => isWithin(degrees, 90)) &&
    [lon, ofLon].every((degrees) => isWithin(degrees, 540)) &&
    ['name', 'of', 'suffix', 'comment', 'symbol'].every((key) => typeof texts[key] === 'string')
  );
}

const isWithin = (value: unknown, most: number): boolean =>
  typeof value === 'number' && Math.abs(value) <= most;
