import { SURFACE_RADIUS } from '../../shared/bottom/blocked-soundings.ts';
import { localRows } from '../../shared/bottom/local-rows.ts';
import { modelBottom } from '../../shared/bottom/model-bottom.ts';
import { indexSurvey } from '../../shared/survey/survey-index.ts';
import { planMark } from './cast-marks.ts';
import { forEachRealScene, type RealScene } from './real-scenes.ts';

/**
 * Prints the share of marks on real bottoms that get a boat position when the depth of their fish is unknown.
 */
export function printRealBottoms(print: (line: string) => void): void {
  const all = { marks: 0, short: 0, given: 0, deep: 0 };
  let scenes = 0;
  forEachRealScene(print, (scene) => {
    const one = countGiven(scene);
    for (const key of Object.keys(all) as (keyof typeof all)[]) all[key] += one[key];
    scenes++;
    print(`  ${scene.site}-${scene.way}: ${shares(one)}`);
  });
  if (scenes > 0) print(`real bottoms, ${scenes} scenes: ${shares(all)}`);
}

interface Counts {
  readonly marks: number;
  /** Number of marks without a position that get the message that no lure reaches the fish. */
  readonly short: number;
  readonly given: number;
  readonly deep: number;
}

const shares = ({ marks, short, given, deep }: Counts): string =>
  `${marks} marks, share with a position ${(given / marks).toFixed(3)}, on the deep side ${(deep / marks).toFixed(3)};` +
  ` too deep for any lure ${(short / marks).toFixed(3)}, with a position among the rest ${(given / (marks - short)).toFixed(3)}`;

function countGiven({ soundings, marks }: RealScene): Counts {
  const index = indexSurvey(soundings);
  const counts = { marks: marks.length, short: 0, given: 0, deep: 0 };
  for (const { lat, lon } of marks) {
    const rows = localRows(soundings, index.within(lat, lon, SURFACE_RADIUS), lat, lon);
    const model = modelBottom(rows, lat, lon);
    if (model.grid === undefined) continue;
    const { downslope, upslope, codes } = planMark(model, {});
    if (downslope !== undefined || upslope !== undefined) counts.given++;
    else if (codes.includes('cast/lure-short')) counts.short++;
    if (downslope?.kind === 'downslope') counts.deep++;
  }
  return counts;
}
