import type { LineKind } from '../../shared/contract/index.ts';

type Print = (line: string) => void;

/**
 * Errors in depth, m, and slope, deg, at a mark, with stated standard deviations of depth, m: of the lake
 * grid, of the mark's own bottom (`own...`) and of a triangulation (`peer...`).
 */
export interface MarkErrors {
  readonly depth: number;
  readonly slope: number;
  readonly sd: number;
  readonly ownDepth: number;
  readonly ownSlope: number;
  readonly ownSd: number;
  readonly peerDepth: number;
  readonly peerSlope: number;
}

/**
 * Numbers of points along lines of one kind: drawn, and right among them; drawn in at least 0.8 of the draws
 * (sure), and right among them; true (real), and found among them.
 */
export interface LineCounts {
  readonly kind: LineKind;
  readonly drawn: number;
  readonly right: number;
  readonly sure: number;
  readonly sureRight: number;
  readonly real: number;
  readonly found: number;
}

export function rmsOf(rows: readonly MarkErrors[], key: keyof MarkErrors): number {
  const known = rows.map((row) => row[key]).filter((error) => !Number.isNaN(error));
  return Math.sqrt(known.reduce((sum, error) => sum + error * error, 0) / known.length);
}

/** Returns the share of marks whose true depth lies in the stated 95 % interval. */
export const shareInside = (
  rows: readonly MarkErrors[],
  error: 'depth' | 'ownDepth',
  sd: 'sd' | 'ownSd',
): number => rows.filter((row) => Math.abs(row[error]) <= 1.96 * row[sd]).length / rows.length;

/** @param goals Goals for the share of drawn points that are right and of true points that are found. */
export function formatCounts(
  { kind, drawn, right, sure, sureRight, real, found }: LineCounts,
  goals?: readonly number[],
): string {
  const share = (part: number, all: number, goal?: number): string =>
    all === 0
      ? '-'
      : `${(part / all).toFixed(2)} of ${all}${goal === undefined ? '' : ` (${goal.toFixed(2)})`}`;
  return `${kind} ${share(right, drawn, goals?.[0])} / ${share(found, real, goals?.[1])}, sure ${share(sureRight, sure)}`;
}

/**
 * Results of the prototype of the lake grid on the same real bottoms, by layout of passes: depth RMSE, m,
 * slope RMSE, deg, and share of depths in the stated 95 % interval.
 */
const PROTOTYPE: Readonly<Record<string, readonly [depth: number, slope: number, inside: number]>> = {
  parallel: [0.436, 3.11, 0.943],
  contour: [0.53, 3.32, 0.938],
  zigzag: [0.448, 2.83, 0.938],
};
/** Results of the prototype for lines: shares drawn right and found. */
const PROTOTYPE_LINES: Readonly<Record<string, Readonly<Partial<Record<LineKind, readonly number[]>>>>> = {
  parallel: { lip: [0.83, 0.85], foot: [0.9, 0.68], crest: [0.8, 0.69], thalweg: [0.9, 0.87] },
  contour: { lip: [0.72, 0.61], foot: [0.77, 0.55], crest: [0.74, 0.63], thalweg: [0.81, 0.62] },
};
const LINE_GOALS: Readonly<Partial<Record<LineKind, readonly number[]>>> = {
  lip: [0.83, 0.85],
  thalweg: [0.9, 0.85],
};
/** Sites with an even sea floor, where the local process is hard to beat. */
export const SMOOTH: readonly string[] = ['medes', 'okushiri'];

interface SceneErrors {
  readonly site: string;
  readonly way: string;
  readonly marks: readonly MarkErrors[];
  readonly lines: readonly LineCounts[];
}

/** Prints all real bottoms together, with the prototype's results or the goals in parentheses. */
export class PooledLake {
  readonly #scenes: SceneErrors[] = [];
  readonly #floors: { readonly way: string; readonly places: readonly MarkErrors[] }[] = [];

  add(site: string, way: string, marks: readonly MarkErrors[], lines: readonly LineCounts[]): void {
    this.#scenes.push({ site, way, marks, lines });
  }

  /** @param places Errors at places spread evenly over a smooth floor. */
  addFloor(way: string, places: readonly MarkErrors[]): void {
    this.#floors.push({ way, places });
  }

  print(print: Print): void {
    if (this.#scenes.length === 0) return;
    print('all real bottoms (in parentheses the prototype):');
    for (const [way, [depth, slope, inside]] of Object.entries(PROTOTYPE)) {
      const scenes = this.#scenes.filter((scene) => scene.way === way);
      const rows = scenes.flatMap(({ marks }) => marks);
      print(
        `  ${way}: ${rows.length} marks; depth ${rmsOf(rows, 'depth').toFixed(3)} m (${depth}), slope ${rmsOf(rows, 'slope').toFixed(2)} deg (${slope}), in 95 % ${shareInside(rows, 'depth', 'sd').toFixed(3)} (${inside}); the mark's own bottom ${rmsOf(rows, 'ownDepth').toFixed(3)} m, ${rmsOf(rows, 'ownSlope').toFixed(2)} deg, ${shareInside(rows, 'ownDepth', 'ownSd').toFixed(3)}; triangulation ${rmsOf(rows, 'peerDepth').toFixed(3)} m, ${rmsOf(rows, 'peerSlope').toFixed(2)} deg`,
      );
      print(`    lines drawn right / found: ${pooledLines(scenes, PROTOTYPE_LINES[way])}`);
    }
    print(
      `  lines under all layouts of passes (in parentheses the goals): ${pooledLines(this.#scenes, LINE_GOALS)}`,
    );
    print(`  in the 95 % interval by site (goal 0.93 to 0.97): ${this.#bySite().join(', ')}`);
    for (const way of Object.keys(PROTOTYPE)) {
      const floor = this.#floors.filter((each) => each.way === way).flatMap(({ places }) => places);
      const marks = this.#scenes
        .filter((scene) => scene.way === way && SMOOTH.includes(scene.site))
        .flatMap((scene) => scene.marks);
      print(
        `  smooth floors, ${way}: slope RMSE ${slopeRatio(floor)} (goal at most 1.10); at marks on structure ${slopeRatio(marks)}`,
      );
    }
  }

  #bySite(): string[] {
    return [...new Set(this.#scenes.map(({ site }) => site))].map((site) => {
      const scenes = this.#scenes.filter((scene) => scene.site === site);
      const share = (some: readonly SceneErrors[]): string =>
        shareInside(
          some.flatMap(({ marks }) => marks),
          'depth',
          'sd',
        ).toFixed(3);
      return `${site} ${share(scenes)} (${scenes.map((scene) => `${scene.way} ${share([scene])}`).join(', ')})`;
    });
  }
}

function slopeRatio(rows: readonly MarkErrors[]): string {
  const [grid, own] = [rmsOf(rows, 'slope'), rmsOf(rows, 'ownSlope')];
  return `${grid.toFixed(2)} deg at ${rows.length} places, the mark's own bottom ${own.toFixed(2)}, ratio ${(grid / own).toFixed(2)}`;
}

function pooledLines(
  scenes: readonly SceneErrors[],
  goals: Readonly<Partial<Record<LineKind, readonly number[]>>> | undefined,
): string {
  const kinds = scenes[0]?.lines.map(({ kind }) => kind) ?? [];
  return kinds
    .map((kind) => {
      const sum = { drawn: 0, right: 0, sure: 0, sureRight: 0, real: 0, found: 0 };
      for (const { lines } of scenes)
        for (const line of lines)
          if (line.kind === kind)
            for (const key of ['drawn', 'right', 'sure', 'sureRight', 'real', 'found'] as const)
              sum[key] += line[key];
      return formatCounts({ kind, ...sum }, goals?.[kind]);
    })
    .join('; ');
}
