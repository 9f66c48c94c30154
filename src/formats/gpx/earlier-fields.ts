import { FIELDS, type FieldDefinition, type FieldValues } from '../../../shared/contract/index.ts';
import { parseNumber } from '../../../shared/text/index.ts';
import type { GpxWaypoint } from './gpx-document.ts';
import { ownElement } from './previous-additions.ts';

/**
 * Fields by name that an earlier run wrote into our element. A value that is not in the registry or has another type is
 * left out.
 */
export function earlierFields({ place }: Pick<GpxWaypoint, 'place'>): Readonly<Partial<FieldValues>> {
  const fields: Record<string, unknown> = {};
  const own = ownElement(place, 'waypoint');
  for (const { local, text } of own?.children ?? []) {
    if (!Object.hasOwn(FIELDS, local) || text === undefined) continue;
    const definition: FieldDefinition = FIELDS[local as keyof typeof FIELDS];
    const value = definition.type === 'number' ? parseNumber(text.trim()) : text.trim();
    if (Number.isNaN(value)) continue;
    if (definition.type === 'word' && !definition.words?.includes(value as string)) continue;
    fields[local] = value;
  }
  return fields;
}
