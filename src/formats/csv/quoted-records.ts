import { parseString } from 'fast-csv';

/**
 * Whether a quoted field is still open at the end of a line.
 *
 * A quote opens only at the start of a field (RFC 4180); elsewhere it is an ordinary character.
 * @param inside True when the line begins inside a quoted field.
 */
export function leavesQuoteOpen(line: string, delimiter: string, inside = false): boolean {
  let open = inside;
  let atStart = !inside;
  for (let i = 0; i < line.length; i++) {
    const c = line[i];
    if (open) {
      if (c !== '"') continue;
      if (line[i + 1] === '"') i++;
      else open = false;
    } else if (c === delimiter) atStart = true;
    else if (c === '"' && atStart) {
      open = true;
      atStart = false;
    } else if (c !== ' ' || delimiter === ' ') atStart = false;
  }
  return open;
}

/**
 * Fields of each record; undefined for a record that is not CSV.
 *
 * @param records Whole records, each with its quotes closed; none of them blank.
 */
export async function parseRecords(
  records: readonly string[],
  delimiter: string,
): Promise<(readonly string[] | undefined)[]> {
  const rows = await parseText(records.join('\n'), delimiter);
  if (rows !== undefined && rows.length === records.length) return rows;
  const single: (readonly string[] | undefined)[] = [];
  for (const record of records) {
    const fields = await parseText(record, delimiter);
    single.push(fields?.length === 1 ? fields[0] : undefined);
  }
  return single;
}

function parseText(text: string, delimiter: string): Promise<string[][] | undefined> {
  return new Promise((resolve) => {
    const rows: string[][] = [];
    parseString<string[], string[]>(text, { headers: false, delimiter, ignoreEmpty: false })
      .on('error', () => resolve(undefined))
      .on('data', (row: string[]) => rows.push(row))
      .on('end', () => resolve(rows));
  });
}
