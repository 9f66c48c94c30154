import { join } from 'node:path';
import { omit } from 'es-toolkit/object';
import { type EnrichedWaypoint, Refusal, type Report } from '../../shared/contract/index.ts';
import { inputMessages as says, dayPlanMessages as saysOfPlan } from '../../shared/text/index.ts';
import { ENRICHED, isDownslopeOutput, isFolder, readFolder } from '../files/index.ts';
import { earlierFields, readGpx } from '../formats/gpx/index.ts';

/**
 * Lists the GPX files of a lake. A folder gives its enriched files or, if there are none, all its GPX files
 * that are not outputs of downslope.
 *
 * @throws Refusal for a missing path or a folder without such files.
 */
export function lakePaths(paths: readonly string[]): string[] {
  return paths.flatMap((path) => {
    if (path === '-' || !isFolder(path)) return [path];
    const files = readFolder(path)
      .map(({ name }) => join(path, name))
      .filter((file) => /\.gpx$/i.test(file));
    const enriched = files.filter((file) => ENRICHED.test(file));
    const chosen = enriched.length > 0 ? enriched : files.filter((file) => !isDownslopeOutput(file));
    const code = files.length > 0 ? 'no-files own' : 'no-files';
    if (chosen.length === 0) throw new Refusal([says[code]({ file: path }, 'GPX files')]);
    return chosen;
  });
}

/**
 * Reads marks with the fields that an earlier run wrote into the file. Waypoints that the run added as boat
 * positions are left out, because fields of the marks hold these positions. A file that was never enriched
 * gives marks without fields, which a plan leaves out.
 *
 * @throws Refusal when no mark has a field.
 */
export function readLake(
  files: readonly string[],
  read: (file: string) => Uint8Array,
  repair: boolean,
  report: Report,
): EnrichedWaypoint[] {
  const marks: EnrichedWaypoint[] = [];
  let isPlain = false;
  for (const file of files) {
    const document = readGpx(read(file), file, { repair });
    document.diagnostics.forEach(report);
    for (const found of document.waypoints) {
      if (!found.canEnrich || found.partner !== undefined) continue;
      isPlain ||= found.isSummarized;
      const data = omit(found, ['place', 'canEnrich', 'partner', 'isSummarized']);
      const waypoint = Object.freeze({ ...data, index: marks.length });
      marks.push({ waypoint, fields: earlierFields(found), diagnostics: [] });
    }
  }
  demandFields(marks, files, isPlain);
  return marks;
}

/**
 * @param isPlain True when an earlier run's texts are in the files without the fields.
 * @throws Refusal when there are marks, but none has a field.
 */
export function demandFields(
  marks: readonly EnrichedWaypoint[],
  files: readonly string[],
  isPlain = false,
): void {
  if (marks.length === 0 || marks.some(({ fields }) => Object.keys(fields).length > 0)) return;
  throw new Refusal([saysOfPlan[isPlain ? 'not-enriched plain' : 'not-enriched'](undefined, files)]);
}
