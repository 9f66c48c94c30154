/** A place in a figure, in figure units. */
export type Place = readonly [x: number, y: number];

/** Returns the numbers in the `data-` attributes of a figure's root. */
export function rootData(svg: string): Record<string, number> {
  const root = svg.slice(0, svg.indexOf('>'));
  return Object.fromEntries(
    [...root.matchAll(/data-([a-z]+)="(-?[\d.]+)"/g)].map(([, name, value]) => [name, Number(value)]),
  );
}

/** Returns the path data of the paths whose tag matches. */
export const pathsOf = (svg: string, tag: RegExp): string[] =>
  [...svg.matchAll(/<path[^>]*>/g)]
    .map(([element]) => element)
    .filter((element) => tag.test(element))
    .map((element) => /\sd="([^"]*)"/.exec(element)?.[1] ?? '');

/** Returns the place of the element with an attribute, from the element's `translate`. */
export function placeOf(svg: string, attribute: string): Place {
  const tag = new RegExp(`<[a-z]+[^>]*${attribute}[^>]*>`).exec(svg)?.[0] ?? '';
  const match = /translate\((-?[\d.]+)[ ,]?(-?[\d.]+)\)/.exec(tag);
  if (match === null) throw new Error(`No place in ${tag || attribute}`);
  return [Number(match[1]), Number(match[2])];
}

/** Converts path data to lines; curves become short straight pieces. Knows only commands that figures use. */
export function readPath(data: string): Place[][] {
  const tokens = [...data.matchAll(/[a-zA-Z]|-?(?:\d+\.?\d*|\.\d+)/g)].map(([token]) => token);
  const lines: Place[][] = [];
  let [x, y] = [0, 0];
  let command = '';
  let i = 0;
  const take = () => Number(tokens[i++]);
  while (i < tokens.length) {
    if (/[a-zA-Z]/.test(tokens[i])) command = tokens[i++];
    const isRelative = command === command.toLowerCase();
    const [fromX, fromY] = [isRelative ? x : 0, isRelative ? y : 0];
    const line = lines.at(-1);
    switch (command.toUpperCase()) {
      case 'M':
        [x, y] = [fromX + take(), fromY + take()];
        lines.push([[x, y]]);
        command = isRelative ? 'l' : 'L';
        break;
      case 'L':
        [x, y] = [fromX + take(), fromY + take()];
        line?.push([x, y]);
        break;
      case 'H':
        x = fromX + take();
        line?.push([x, y]);
        break;
      case 'V':
        y = fromY + take();
        line?.push([x, y]);
        break;
      case 'C': {
        const ends = [0, 1, 2].map((): Place => [fromX + take(), fromY + take()]);
        line?.push(...curvePlaces([x, y], ends[0], ends[1], ends[2]));
        [x, y] = ends[2];
        break;
      }
      case 'Z':
        if (line !== undefined) {
          line.push(line[0]);
          [x, y] = line[0];
        }
        break;
      default:
        throw new Error(`Unexpected path command ${command}`);
    }
  }
  return lines;
}

const STEPS = 12;

function curvePlaces(a: Place, b: Place, c: Place, d: Place): Place[] {
  return Array.from({ length: STEPS }, (_, k) => {
    const t = (k + 1) / STEPS;
    const s = 1 - t;
    const at = (axis: 0 | 1) =>
      s ** 3 * a[axis] + 3 * s * s * t * b[axis] + 3 * s * t * t * c[axis] + t ** 3 * d[axis];
    return [at(0), at(1)];
  });
}

/** Returns the distance from a place to the nearest line, figure units. */
export function distanceToLines([x, y]: Place, lines: readonly (readonly Place[])[]): number {
  let least = Number.POSITIVE_INFINITY;
  for (const line of lines) {
    for (let i = 1; i < line.length; i += 1) {
      const [[x0, y0], [x1, y1]] = [line[i - 1], line[i]];
      const length2 = (x1 - x0) ** 2 + (y1 - y0) ** 2;
      const along = length2 === 0 ? 0 : ((x - x0) * (x1 - x0) + (y - y0) * (y1 - y0)) / length2;
      const t = Math.max(0, Math.min(1, along));
      least = Math.min(least, Math.hypot(x - x0 - t * (x1 - x0), y - y0 - t * (y1 - y0)));
    }
  }
  return least;
}

/** True when a place is inside a shape by the even-odd rule. */
export function isInside([x, y]: Place, rings: readonly (readonly Place[])[]): boolean {
  let inside = false;
  for (const ring of rings) {
    for (let i = 1; i < ring.length; i += 1) {
      const [[x0, y0], [x1, y1]] = [ring[i - 1], ring[i]];
      if (y0 > y !== y1 > y && x < ((x1 - x0) * (y - y0)) / (y1 - y0) + x0) inside = !inside;
    }
  }
  return inside;
}
