import type { SoundingColumn, Soundings } from '../../../shared/contract/index.ts';
import type { LogEntry } from '../../../shared/engine/index.ts';

/** Depth that no water reaches, m. */
const DEEPEST = 12_000;
/** Latest plausible time of a log, s since 1970: the year 2200. */
const LATEST = 7.26e9;

/** Rule for each value of a column. Only a time or temperature may be NaN. */
const RULES: Readonly<Record<SoundingColumn, (value: number) => boolean>> = {
  lat: (value) => Math.abs(value) <= 90,
  lon: (value) => Math.abs(value) <= 180,
  depth: (value) => Math.abs(value) <= DEEPEST,
  shallowest: (value) => Math.abs(value) <= DEEPEST,
  time: (value) => Number.isNaN(value) || Math.abs(value) <= LATEST,
  pass: (value) => value >= 0,
  weight: (value) => value > 0 && Number.isFinite(value),
  temperature: (value) => Number.isNaN(value) || Math.abs(value) <= 100,
};

/**
 * Checks that the values of a stored log are plausible. The checksum shows damage, but not a forged file.
 *
 * @throws Error that describes the first impossible column, value, count or message.
 */
export function checkStoredLog({ soundings, account, diagnostics }: LogEntry): void {
  for (const name of Object.keys(RULES) as SoundingColumn[]) checkColumn(soundings, name);
  const counts = [account?.read, account?.used, ...Object.values(account?.dropped ?? {})];
  if (counts.some((count) => !(Number.isSafeInteger(count) && count >= 0)))
    throw new Error('a row count is not a whole number');
  const dropped = counts.slice(2).reduce((sum, count) => sum + count, 0);
  if (account.read !== account.used + dropped)
    throw new Error(`${account.read} rows read, ${account.used} used and ${dropped} dropped`);
  if (soundings.count > account.used) throw new Error(`${soundings.count} soundings of ${account.used} rows`);
  const isSaid = ({ severity, code, message }: Record<string, unknown>): boolean =>
    ['error', 'warning', 'note'].includes(severity as string) &&
    typeof code === 'string' &&
    typeof message === 'string';
  if (!Array.isArray(diagnostics) || !diagnostics.every((said) => said !== null && isSaid(said)))
    throw new Error('its messages are not valid');
}

function checkColumn(soundings: Soundings, name: SoundingColumn): void {
  const column = soundings[name];
  if (column === undefined && name === 'temperature') return;
  if (column?.length !== soundings.count) throw new Error(`column ${name} is missing or incomplete`);
  for (let i = 0; i < column.length; i++)
    if (!RULES[name](column[i])) throw new Error(`${name} ${column[i]} in row ${i + 1}`);
}
