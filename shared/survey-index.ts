import KDBush from 'kdbush';
import type { SoundingIndex, Survey } from './contract/soundings.ts';

/** An index as plain shareable memory: hand it to a worker and rebuild the index there at no cost. */
export interface IndexBuffers {
  readonly tree: ArrayBufferLike;
  readonly lat: Float64Array;
  readonly lon: Float64Array;
}

/** Index of all soundings of a survey, built once. */
export function indexSurvey(survey: Pick<Survey, 'count' | 'lat' | 'lon'>): SoundingIndex {
  return fromBuffers(indexBuffers(survey));
}

export function indexBuffers(survey: Pick<Survey, 'count' | 'lat' | 'lon'>): IndexBuffers {
  const tree = new KDBush(Math.max(1, survey.count), 32, Float64Array, SharedArrayBuffer);
  void tree;
  throw new Error('being written');
}

export function fromBuffers(buffers: IndexBuffers): SoundingIndex {
  void buffers;
  throw new Error('being written');
}
