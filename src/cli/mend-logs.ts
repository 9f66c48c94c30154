import { type Diagnostic, type DisplayUnits, type Mend, Refusal } from '../../shared/contract/index.ts';
import { type Given, resolveSettings } from '../../shared/engine/index.ts';
import {
  plainColumnName,
  positionColumns,
  type ReaderOptions,
  readerSettings,
} from '../formats/csv/index.ts';
import { openLog, optionsFor, type PipelineJob, readLog } from '../run/index.ts';

/** Findings about one log that has faults. */
export interface MendedLog {
  readonly file: string;
  /** All faults of the log, including those hidden behind others as far as they can be revealed. */
  readonly faults: readonly Diagnostic[];
  /** Settings that repair the log; undefined while one is still missing. */
  readonly settings?: readonly Given[];
}

/** Gives the value of a setting that a log needs; undefined when nobody provides one. */
export type Answer = (file: string, fault: Diagnostic, mend: Mend) => Promise<string | undefined>;

/** Placeholder values for missing settings, so that faults hidden behind them are found too. */
const STAND_INS: Readonly<Record<string, string>> = {
  'depth-unit': 'm',
  vertical: 'down',
  'date-order': 'dmy',
  'position-format': 'degrees',
  'max-dropped': '1',
};

/**
 * Every fault of the logs in which the run found one, with the settings that repair them.
 *
 * A log is read again with each new setting until no more faults are found.
 *
 * @param said Diagnostics reported by the run.
 */
export async function mendLogs(
  job: PipelineJob,
  said: readonly Diagnostic[],
  units: DisplayUnits,
  answer: Answer,
): Promise<MendedLog[]> {
  const found: MendedLog[] = [];
  for (const file of job.logFiles.filter((name) => name !== '-')) {
    const own = said.filter(({ mend, place }) => mend !== undefined && isOf(place?.file, file));
    if (own.length > 0) found.push(await mendLog(job, file, own, units, answer));
  }
  return found;
}

/** True when a place is in a log or in a file inside it. */
const isOf = (place: string | undefined, log: string): boolean =>
  place === log || place?.startsWith(`${log}/`) === true;

async function mendLog(
  job: PipelineJob,
  file: string,
  said: readonly Diagnostic[],
  units: DisplayUnits,
  answer: Answer,
): Promise<MendedLog> {
  const faults: Diagnostic[] = [];
  const settings: Given[] = [];
  let isWhole = true;
  for (let open = said; ; ) {
    const fault = open.find(({ mend }) => settings.every(({ flag }) => flag !== mend?.setting));
    if (fault?.mend === undefined) break;
    const mend = await columnsOf(fault.mend, file, job);
    const value = mend.value ?? (await answer(file, fault, mend));
    faults.push(fault);
    isWhole &&= value !== undefined;
    const text = value ?? STAND_INS[mend.setting];
    if (text === undefined) break;
    settings.push({ flag: mend.setting, texts: [text], wording: `${mend.setting} (${file})` });
    open = await faultsWith(job, file, settings, units);
  }
  return { file, faults, settings: isWhole ? settings : undefined };
}

/** Faults that a setting can repair and that remain when a log is read with the given settings. */
async function faultsWith(
  job: PipelineJob,
  file: string,
  settings: readonly Given[],
  units: DisplayUnits,
): Promise<readonly Diagnostic[]> {
  const more = resolveSettings(readerSettings, settings, units, '').get('reader') as Partial<ReaderOptions>;
  const readers = { steps: job.pipeline.reader, places: job.waypoints, open: openLog };
  const said: Diagnostic[] = [];
  const parts = readLog(file, { ...optionsFor(job, file), ...more }, readers, (diagnostic) =>
    said.push(diagnostic),
  );
  try {
    for (let next = await parts.next(); !next.done; ) next = await parts.next();
  } catch (cause) {
    if (!(cause instanceof Refusal)) throw cause;
    said.push(...cause.diagnostics);
  }
  return said.filter(({ mend, severity }) => mend !== undefined && severity === 'error');
}

/** The setting that repairs swapped positions, with the names of their columns. */
async function columnsOf(mend: Mend, file: string, job: PipelineJob): Promise<Mend> {
  if (mend.setting !== 'map' || mend.columns !== undefined) return mend;
  const { content } = await openLog(file);
  const columns = 'chunks' in content ? await positionColumns(content, optionsFor(job, file)) : undefined;
  return columns === undefined ? mend : { ...mend, value: `lat=${columns[1]},lon=${columns[0]}`, columns };
}

/** The part of a typed value that applies to a log: for columns by name, those that the log has. */
export function fittingPart(texts: readonly string[], { setting, columns }: Mend): string | undefined {
  if (setting !== 'map' || columns === undefined) return texts.join(',');
  const known = new Set(columns.map(plainColumnName));
  const own = texts
    .flatMap((text) => text.split(','))
    .filter(
      (entry) =>
        /=\s*#\d+\s*$/.test(entry) || known.has(plainColumnName(entry.slice(entry.indexOf('=') + 1))),
    );
  return own.length === 0 ? undefined : own.join(',');
}
