import { Refusal } from '../../shared/contract/index.ts';
import { type Zone, zoneUnknown } from '../../shared/text/index.ts';

/** Time zone of `--tz`. @throws Refusal when there is none of that name. */
export async function zoneOf(text: string | undefined): Promise<Zone | undefined> {
  if (text === undefined) return undefined;
  const { parseZone } = await import('../../shared/text/time-zone.ts');
  const zone = parseZone(text);
  if (zone === undefined) throw new Refusal([zoneUnknown(text)], 2);
  return zone;
}
