import type { Survey } from '../contract/index.ts';
import { fromBuffers, indexBuffers } from '../survey/index.ts';
import type { LakeBuffers } from './run-stages.ts';
import type { Lake } from './run-waypoint.ts';

/** The lake for the waypoint plugins, with a separate copy for user plugins if there are any. */
export function lakeOf(
  { survey, index: shared, unseen, lake }: LakeBuffers,
  waypoints: Lake['waypoints'],
  hasOwn: boolean,
): Lake {
  const index = fromBuffers(shared);
  if (!hasOwn) return { survey, waypoints, index, unseen, lake };
  const copy = copySurvey(survey);
  return {
    survey,
    waypoints,
    index,
    unseen,
    lake,
    copy: { survey: copy, waypoints, index: fromBuffers(indexBuffers(copy)) },
  };
}

function copySurvey(original: Survey): Survey {
  const entries = Object.entries(original).map(([name, value]) => [
    name,
    ArrayBuffer.isView(value) ? (value as Float64Array).slice() : value,
  ]);
  return Object.fromEntries(entries) as Survey;
}
