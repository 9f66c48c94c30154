import type { DisplayUnits, FieldDefinition } from '../contract/index.ts';

/** Column name of a field in the table: the field name with its unit. */
export function columnName(name: string, definition: FieldDefinition, units: DisplayUnits): string {
  const column = name.replace(/[.-]/g, '_');
  if (definition.unit === 'm') return `${column}_${units}`;
  return definition.unit === 'deg' ? `${column}_deg` : column;
}
