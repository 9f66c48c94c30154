import type { ProposedPass } from './check-report.ts';

/** GPX 1.1 text with one route of two points for each proposed pass, in ASCII. */
export function formatRoutes(passes: readonly ProposedPass[]): string {
  const numbers = new Map<number, number>();
  const routes = passes.map((pass) => {
    const number = (numbers.get(pass.waypoint.index) ?? 0) + 1;
    numbers.set(pass.waypoint.index, number);
    return formatRoute(pass, number);
  });
  return `<?xml version="1.0" encoding="UTF-8"?>
<gpx version="1.1" creator="downslope" xmlns="http://www.topografix.com/GPX/1/1">
${routes.join('')}</gpx>
`;
}

function formatRoute({ waypoint, reason, from, to, bearing }: ProposedPass, number: number): string {
  const name = `${waypoint.name === '' ? `#${waypoint.index + 1}` : waypoint.name} P${number}`;
  const point = ([lon, lat]: readonly [number, number], which: string) =>
    `    <rtept lat="${lat.toFixed(7)}" lon="${lon.toFixed(7)}"><name>${escapeText(`${name} ${which}`)}</name></rtept>\n`;
  return `  <rte>
    <name>${escapeText(name)}</name>
    <cmt>${escapeText(`Run ${Math.round(bearing) % 360} deg true: ${reason}`)}</cmt>
${point(from, 'start')}${point(to, 'end')}  </rte>
`;
}

/** Text for XML: markup escaped, characters that XML 1.0 cannot hold left out, the rest beyond ASCII as references. */
const escapeText = (text: string): string =>
  text
    .replace(/[^\t\n\r\x20-\uD7FF\uE000-\uFFFD\u{10000}-\u{10FFFF}]/gu, '')
    .replace(/[&<>"]/g, (c) => ({ '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' })[c]!)
    .replace(/[^\x20-\x7E\t\n\r]/gu, (c) => `&#${c.codePointAt(0)};`);
