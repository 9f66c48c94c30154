import { random } from '../../fixtures/lakes/random.ts';
import { SURFACE_RADIUS } from '../../shared/bottom/blocked-soundings.ts';
import type { MarkSounding } from '../../shared/bottom/depth-mixture.ts';
import { estimateUnseen } from '../../shared/bottom/leave-pass-out.ts';
import { localRows } from '../../shared/bottom/local-rows.ts';
import { modelBottom } from '../../shared/bottom/model-bottom.ts';
import type { BottomModel, Unseen } from '../../shared/contract/bottom-model.ts';
import type { SoundingIndex, Survey } from '../../shared/contract/soundings.ts';
import { indexSurvey } from '../../shared/survey/survey-index.ts';
import { forEachRealScene, type KnownMark, type RealScene } from './real-scenes.ts';

type Print = (line: string) => void;

/** Standard deviation of the depth on a sonar screen, m. */
const SCREEN_SD = 0.15;
/** Standard deviation of a mark's position along each axis, m. */
const POSITION_SD = 3 / Math.SQRT2;
const SEED = 19;
const FAR = 10;

/**
 * Prints how often the stated 95 % interval holds at marks on real bottoms with simulated passes, by site and
 * class of mark, and how much the mark's own depth helps.
 */
export function printRealBottoms(print: Print): void {
  const rows: Answered[] = [];
  forEachRealScene(print, (scene) => {
    const survey: Survey = { ...scene.soundings, log: new Int32Array(scene.soundings.count), logs: [] };
    const index = indexSurvey(survey);
    const before = process.cpuUsage();
    const unseen = estimateUnseen(survey, index);
    const used = process.cpuUsage(before);
    print(
      `real bottom ${scene.site}-${scene.way}, estimate of unseen forms: factor ${unseen.factor.toFixed(2)}, size ${unseen.size.toFixed(2)} m, rate ${unseen.rate.toFixed(3)}; ${((used.user + used.system) / 1000).toFixed(0)} ms of CPU`,
    );
    rows.push(...answer(scene, survey, index, unseen));
  });
  if (rows.length === 0) return;
  const kinds = ['passes', 'with mark depth', 'passes, unseen forms ignored'] as const;
  for (const kind of kinds) {
    const own = rows.filter((row) => row.kind === kind);
    print(`real bottoms, ${kind}: ${summary(own)}`);
    for (const key of ['site', 'cls'] as const)
      for (const value of [...new Set(own.map((row) => row[key]))].sort())
        print(`    ${value.padEnd(10)} ${summary(own.filter((row) => row[key] === value))}`);
  }
}

interface Answered {
  readonly kind: string;
  readonly site: string;
  readonly cls: string;
  readonly depth: number;
  readonly sd: number;
  readonly isInside: boolean;
  /** deg; NaN when there is no slope. */
  readonly slope: number;
  readonly slopeSd: number;
  readonly status: string;
}

function answer(
  { site, marks }: RealScene,
  survey: Survey,
  index: SoundingIndex,
  unseen: Unseen,
): Answered[] {
  const source = random(SEED);
  return marks.flatMap((known) => {
    const { lat, lon, cls } = known;
    const soundings = localRows(survey, index.within(lat, lon, SURFACE_RADIUS), lat, lon);
    const mark = markDepth(known, source);
    const row = (kind: string, model: BottomModel): Answered => {
      const [low, high] = model.interval ?? [0, 0];
      return {
        kind,
        site,
        cls,
        depth: model.depth - known.depth,
        sd: model.depthSd,
        isInside: known.depth >= low && known.depth <= high,
        slope: (model.slope ?? Number.NaN) - known.slope,
        slopeSd: model.slopeSd ?? Number.NaN,
        status: model.status,
      };
    };
    return [
      row('passes', modelBottom(soundings, lat, lon, { unseen, hasGrid: false })),
      row('with mark depth', modelBottom(soundings, lat, lon, { unseen, mark, hasGrid: false })),
      row('passes, unseen forms ignored', modelBottom(soundings, lat, lon, { hasGrid: false })),
    ].filter(({ status }) => status === 'ok');
  });
}

/**
 * Simulates the depth on the screen where the mark was dropped, with errors of position and of the screen.
 */
function markDepth({ depth, slope, aspect }: KnownMark, source: ReturnType<typeof random>): MarkSounding {
  const fall = Math.tan((slope * Math.PI) / 180);
  const east = POSITION_SD * source.normal();
  const north = POSITION_SD * source.normal();
  const toward = (aspect * Math.PI) / 180;
  const off = fall * (east * Math.sin(toward) + north * Math.cos(toward));
  return { depth: depth + off + SCREEN_SD * source.normal(), sd: SCREEN_SD, isUnitKnown: true };
}

function summary(rows: readonly Answered[]): string {
  const inside = rows.filter(({ isInside }) => isInside).length;
  const sloped = rows.filter(({ slope }) => Number.isFinite(slope));
  const slopeInside = sloped.filter(({ slope, slopeSd }) => Math.abs(slope) <= 1.96 * slopeSd).length;
  const beyond = (limit: number): number =>
    rows.filter(({ depth, sd }) => Math.abs(depth) > limit * sd).length;
  const sds = rows.map(({ sd }) => sd).sort((a, b) => a - b);
  return `${rows.length} marks, depth RMSE ${rms(rows.map((row) => row.depth)).toFixed(3)} m, inside the 95 % interval ${(inside / rows.length).toFixed(3)}, median sd ${sds[sds.length >> 1].toFixed(2)} m, beyond 5 sd ${beyond(5)}, beyond 10 sd ${beyond(FAR)}; slope RMSE ${rms(sloped.map((row) => row.slope)).toFixed(2)} deg, inside the 95 % interval ${(slopeInside / sloped.length).toFixed(3)}`;
}

const rms = (values: readonly number[]): number =>
  Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / Math.max(1, values.length));
