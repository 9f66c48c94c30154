import { simulateSurvey, toSoundings } from '../../fixtures/lakes/survey.ts';
import { estimateUnseen, localRows, modelBottom, SURFACE_RADIUS } from '../../shared/bottom/index.ts';
import type { BottomModel, LakeBottom, Soundings, Survey } from '../../shared/contract/index.ts';
import { type LocalFrame, localFrame } from '../../shared/geo/index.ts';
import { lakeBottom } from '../../shared/lake/lake-bottom.ts';
import { makeLakeGrid } from '../../shared/lake/lake-grid.ts';
import { findStructure, type Structure } from '../../shared/structure/structure.ts';
import { describeStructure } from '../../shared/structure/structure-account.ts';
import { indexSurvey } from '../../shared/survey/index.ts';
import type { RealScene } from './real-scenes.ts';
import { triangulate } from './triangulated.ts';

type Print = (line: string) => void;
export type GroundPlace = readonly [lat: number, lon: number];

/** Structure words of places from the lake model, and from the own bottom model of each place. */
export type BothWords = Readonly<Record<'lake' | 'mark', readonly (Structure | undefined)[]>>;

/** Fits a bottom model around each place, as for a mark. */
export function ownBottoms(soundings: Soundings, places: readonly GroundPlace[]): BottomModel[] {
  const survey = soundings as Survey;
  const index = indexSurvey(survey);
  const unseen = estimateUnseen(survey, index);
  return places.map(([lat, lon]) => {
    const rows = localRows(survey, index.within(lat, lon, SURFACE_RADIUS), lat, lon);
    return modelBottom(rows, lat, lon, { unseen });
  });
}

export function bothWords(soundings: Soundings, places: readonly GroundPlace[]): BothWords {
  const models = ownBottoms(soundings, places);
  const grid = makeLakeGrid(soundings);
  const lake: LakeBottom | undefined = grid && lakeBottom(grid, [], []);
  return {
    lake: models.map((model) => findStructure(model, lake)),
    mark: models.map((model) => findStructure(model)),
  };
}

/** How often two sets of words agree: overall, and where the first has a confidence of at least 0.8. */
class Agreement {
  #both = 0;
  #same = 0;
  #sure = 0;
  #sureSame = 0;
  #noDrop = 0;

  add(found: readonly (Structure | undefined)[], truth: readonly (string | undefined)[]): void {
    found.forEach((structure, k) => {
      if (structure === undefined || truth[k] === undefined) return;
      const isSame = structure.word === truth[k];
      this.#both++;
      if (isSame) this.#same++;
      if (NO_DROP.test(describeStructure(structure, 'm').reason)) this.#noDrop++;
      if (structure.confidence < 0.8) return;
      this.#sure++;
      if (isSame) this.#sureSame++;
    });
  }

  toString(): string {
    const share = (part: number, all: number): string => (part / Math.max(1, all)).toFixed(3);
    return `${share(this.#same, this.#both)} of ${this.#both}, at a confidence of 0.8 ${share(this.#sureSame, this.#sure)} of ${this.#sure}, reasons with a negligible drop ${this.#noDrop}`;
  }
}

/** Matches a reason that cites a drop of at most 0.2 m, which is too small to matter to an angler. */
const NO_DROP = /\b0\.[0-2] m\b(?! of relief)/;

/** Agreement with the true words on synthetic lakes. */
export class KnownWords {
  readonly #by = { lake: new Agreement(), mark: new Agreement() };

  add(words: BothWords, truth: readonly string[]): void {
    this.#by.lake.add(words.lake, truth);
    this.#by.mark.add(words.mark, truth);
  }

  print(name: string, print: Print): void {
    print(`${name}: right words from the lake ${this.#by.lake}; from the mark's own bottom ${this.#by.mark}`);
  }
}

/** The dense reference survey: passes 8 m apart at a heading of 30 deg. */
const DENSE = { spacing: 8, jitter: 0, heading: 30, noise: 0.02, bias: 0, offset: 0, wander: 0, seed: 1 };
/** How far the dense survey extends beyond the marks, m. */
const AROUND = 130;
const TURN = Math.PI / 6;

/**
 * Compares words on real bottoms from ordinary passes with words from passes 8 m apart, and with words after
 * turning the survey by 30 degrees.
 */
export class RealWords {
  readonly #dense = { lake: new Agreement(), mark: new Agreement() };
  readonly #turned = { lake: new Agreement(), mark: new Agreement() };

  add({ soundings, marks, truth }: RealScene): void {
    const frame = localFrame(soundings.lat[0], soundings.lon[0]);
    const places = marks.map(({ lat, lon }): GroundPlace => [lat, lon]);
    const own = bothWords(soundings, places);
    const dense = bothWords(soundDensely(truth(), places, frame), places);
    const turned = bothWords(
      { ...soundings, ...turn(soundings, frame) },
      places.map(([lat, lon]) => turnPlace(lat, lon, frame)),
    );
    for (const kind of ['lake', 'mark'] as const) {
      const words = (structures: BothWords): (string | undefined)[] =>
        structures[kind].map((each) => each?.word);
      this.#dense[kind].add(own[kind], words(dense));
      this.#turned[kind].add(own[kind], words(turned));
    }
  }

  print(print: Print): void {
    for (const kind of ['lake', 'mark'] as const)
      print(
        `words from ${kind === 'lake' ? 'the lake' : "the mark's own bottom"}, same as from passes 8 m apart: ${this.#dense[kind]}; same after turning by 30 deg: ${this.#turned[kind]}`,
      );
  }
}

function soundDensely(
  truth: readonly number[][],
  places: readonly GroundPlace[],
  frame: LocalFrame,
): Soundings {
  const known = truth.map(([lat, lon]) => frame.toLocal(lat, lon));
  const bottom = triangulate(
    known.map(([e]) => e),
    known.map(([, n]) => n),
    truth.map(([, , depth]) => depth),
    25,
  );
  const local = places.map(([lat, lon]) => frame.toLocal(lat, lon));
  const middle = (axis: 0 | 1): number =>
    (Math.min(...local.map((place) => place[axis])) + Math.max(...local.map((place) => place[axis]))) / 2;
  const center = [middle(0), middle(1)] as const;
  const radius = Math.max(...local.map(([e, n]) => Math.hypot(e - center[0], n - center[1]))) + AROUND;
  const all = simulateSurvey({ depth: (e, n) => bottom.at(e, n) }, { ...DENSE, center, radius });
  const wet = [...all.depth.keys()].filter((k) => all.depth[k] > 0);
  const kept = (column: Float64Array): Float64Array => Float64Array.from(wet, (k) => column[k]);
  const survey = {
    count: wet.length,
    east: kept(all.east),
    north: kept(all.north),
    depth: kept(all.depth),
    time: kept(all.time),
    pass: Int32Array.from(wet, (k) => all.pass[k]),
  };
  return toSoundings(survey, frame.lat, frame.lon);
}

function turn({ lat, lon }: Soundings, frame: LocalFrame): Pick<Soundings, 'lat' | 'lon'> {
  const places = Array.from(lat, (_, k) => turnPlace(lat[k], lon[k], frame));
  return { lat: Float64Array.from(places, ([to]) => to), lon: Float64Array.from(places, ([, to]) => to) };
}

function turnPlace(lat: number, lon: number, frame: LocalFrame): [lat: number, lon: number] {
  const [east, north] = frame.toLocal(lat, lon);
  const [c, s] = [Math.cos(TURN), Math.sin(TURN)];
  return frame.toGeographic(c * east - s * north, s * east + c * north);
}
