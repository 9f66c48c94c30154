import { createInterface } from 'node:readline/promises';
import {
  type Diagnostic,
  type DisplayUnits,
  inUnits,
  Refusal,
  type Repair,
} from '../../shared/contract/index.ts';
import { type Given, isInLog, resolveSettings, type Setting } from '../../shared/engine/index.ts';
import { settingsOfLogs } from '../engine/index.ts';
import { plainColumnName, positionColumns } from '../formats/csv/index.ts';
import { openLog, optionsFor, type PipelineJob, readersFor, readLog, reducerFor } from '../run/index.ts';
import type { ResolvedCommand } from './resolve-command.ts';

export interface RepairedLog {
  readonly log: string;
  /** The log, or the file inside it: `logs.zip/day1.csv`. */
  readonly file: string;
  /** For each setting, the first fault that it repairs. Some faults show only after another is repaired. */
  readonly faults: readonly Diagnostic[];
  /** Settings that repair the file; undefined if a required setting has no value. */
  readonly settings?: readonly Given[];
}

/** Gives the value of a setting that a log needs; undefined when the user gives no value. */
type Answer = (file: string, fault: Diagnostic, repair: Repair) => Promise<string | undefined>;

/** Values used in place of missing settings, so that reading goes on and finds more faults. */
const STAND_INS: Readonly<Record<string, string>> = {
  'depth-unit': 'm',
  vertical: 'down',
  'date-order': 'dmy',
  'position-format': 'degrees',
  'max-dropped': '1',
};

/**
 * Finds the settings that repair the faults found by a run. A log with faults is read again with each new
 * setting, until no new faults are found. Standard input is left out.
 *
 * @param said Diagnostics reported by the run.
 */
export async function repairLogs(
  job: PipelineJob,
  said: readonly Diagnostic[],
  units: DisplayUnits,
  answer: Answer,
): Promise<RepairedLog[]> {
  const found: RepairedLog[] = [];
  for (const log of job.logFiles.filter((name) => name !== '-')) {
    const repairable = said.filter(({ repair, place }) => repair !== undefined && isInLog(place?.file, log));
    if (repairable.length > 0) found.push(...(await repairLog(job, log, repairable, units, answer)));
  }
  return found;
}

interface LogRepair {
  readonly faults: Diagnostic[];
  readonly settings: Given[];
  isWhole: boolean;
}

async function repairLog(
  job: PipelineJob,
  log: string,
  said: readonly Diagnostic[],
  units: DisplayUnits,
  answer: Answer,
): Promise<RepairedLog[]> {
  const files = new Map<string, LogRepair>();
  const isInside = said.some(({ place }) => place?.file !== log);
  // The settings of a file that is alone in its log are saved for the log itself.
  const isAlone = isInside && (await readWith(job, log, files, units)).inputs.size === 1;
  const fileOf = ({ place }: Diagnostic): string => (isAlone ? log : (place?.file ?? log));
  const isNew = (fault: Diagnostic): boolean =>
    fault.repair !== undefined &&
    !files.get(fileOf(fault))?.faults.some(({ repair }) => repair?.setting === fault.repair?.setting);
  let open = said;
  for (let fault = open.find(isNew); fault?.repair !== undefined; fault = open.find(isNew)) {
    const file = fileOf(fault);
    const logRepair = files.get(file) ?? { faults: [], settings: [], isWhole: true };
    files.set(file, logRepair);
    const isError = fault.severity === 'error';
    const repair = await columnsOf(fault.repair, file, job);
    const value = repair.value ?? (await answer(file, fault, repair));
    logRepair.faults.push(fault);
    logRepair.isWhole &&= value !== undefined || !isError;
    const proposed = STAND_INS[repair.setting] ?? fault.values?.[repair.setting];
    const text = value ?? (isError ? proposed : undefined);
    if (typeof text !== 'string') continue;
    logRepair.settings.push({ flag: repair.setting, texts: [text], wording: `${repair.setting} (${file})` });
    open = (await readWith(job, log, files, units)).faults;
  }
  return Array.from(files, ([file, { faults, settings, isWhole }]) => ({
    log,
    file,
    faults,
    settings: isWhole ? settings : undefined,
  }));
}

/**
 * Reads a log with the settings so far.
 * @returns `faults` that settings can repair; and `inputs`, the names of files with soundings or messages.
 */
async function readWith(
  job: PipelineJob,
  log: string,
  files: ReadonlyMap<string, LogRepair>,
  units: DisplayUnits,
): Promise<{ readonly faults: readonly Diagnostic[]; readonly inputs: ReadonlySet<string> }> {
  const known = settingsOfLogs(job.pipeline.log);
  const sets = Array.from(files, ([pattern, { settings }]) => ({
    pattern,
    values: resolveSettings(known, settings, units, ''),
  }));
  const trial = { ...job, logOptions: [...(job.logOptions ?? []), ...sets] };
  const said: Diagnostic[] = [];
  const inputs = new Set<string>();
  const reduce = reducerFor(trial, log);
  const parts = readLog(log, optionsFor(trial, log), readersFor(trial, openLog), (diagnostic) =>
    said.push(diagnostic),
  );
  try {
    for (let next = await parts.next(); !next.done; next = await parts.next()) {
      // The plugins report the same messages about every part of a file, so one part is enough.
      if (!inputs.has(next.value.file)) said.push(...reduce(next.value).diagnostics);
      inputs.add(next.value.file);
    }
  } catch (cause) {
    if (!(cause instanceof Refusal)) throw cause;
    said.push(...cause.diagnostics);
  }
  for (const { place } of said) if (place?.file !== undefined && place.file !== log) inputs.add(place.file);
  return { faults: said.filter(({ repair }) => repair !== undefined), inputs };
}

/** Adds the names of the position columns to a repair of swapped positions. */
async function columnsOf(repair: Repair, file: string, job: PipelineJob): Promise<Repair> {
  if (repair.setting !== 'map' || repair.columns !== undefined) return repair;
  const { content } = await openLog(file);
  const columns = 'chunks' in content ? await positionColumns(content, optionsFor(job, file)) : undefined;
  return columns === undefined
    ? repair
    : { ...repair, value: `lat=${columns[1]},lon=${columns[0]}`, columns };
}

/** Returns the part of a typed value that applies to a log, without columns that the log does not have. */
export function fittingPart(texts: readonly string[], { setting, columns }: Repair): string | undefined {
  if (setting !== 'map' || columns === undefined) return texts.join(',');
  const known = new Set(columns.map(plainColumnName));
  const parts = texts
    .flatMap((text) => text.split(','))
    .filter(
      (entry) =>
        /=\s*#\d+\s*$/.test(entry) || known.has(plainColumnName(entry.slice(entry.indexOf('=') + 1))),
    );
  return parts.length === 0 ? undefined : parts.join(',');
}

/**
 * Asks the user for the value of a setting, but only at a terminal.
 *
 * The question is repeated after an invalid answer. After an empty answer the setting has no value.
 */
export function createPrompt(
  { inputs, units, io: { note } }: ResolvedCommand,
  settings: ReadonlyMap<string, Setting>,
) {
  const isInteractive = process.stdin.isTTY && process.stderr.isTTY && !inputs.json;
  const terminal = isInteractive
    ? createInterface({ input: process.stdin, output: process.stderr })
    : undefined;
  return {
    async ask(file: string, { message }: Diagnostic, { setting }: Repair): Promise<string | undefined> {
      if (terminal === undefined) return undefined;
      note(`${file}: ${inUnits(message, units)}`);
      for (;;) {
        const text = (await terminal.question(`  ${setting} (Enter to skip): `)).trim();
        if (text === '') return undefined;
        try {
          resolveSettings(settings, [{ flag: setting, texts: [text], wording: setting }], units, '');
          return text;
        } catch (cause) {
          if (!(cause instanceof Refusal)) throw cause;
          note(`  ${cause.diagnostics[0].message}`);
        }
      }
    },
    close: (): void => terminal?.close(),
  };
}
