import { makeFolder, write } from '../cli/run-program.ts';
import { geographic } from './lake.ts';

/** Creates a folder with three enriched marks 300 m apart on a sounded strip. */
export function lakeFolder(): string {
  const folder = makeFolder();
  const marks = [0, 300, 600].map((east, at) => {
    const [lat, lon] = geographic(east, 0);
    const [downLat, downLon] = geographic(east, 20);
    const fields = {
      depth: 5,
      structure: 'ledge',
      downslope_lat: downLat,
      downslope_lon: downLon,
      downslope_fish_contact: 12,
    };
    const elements = Object.entries(fields).map(([name, value]) => `<ds:${name}>${value}</ds:${name}>`);
    return `<wpt lat="${lat}" lon="${lon}"><name>A${at + 1}</name><extensions><ds:waypoint made="extensions">${elements.join('')}</ds:waypoint></extensions></wpt>`;
  });
  write(
    folder,
    'lake.enriched.gpx',
    `<?xml version="1.0"?><gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1" xmlns:ds="urn:downslope:gpx:1">${marks.join('')}</gpx>`,
  );
  const rows: string[] = [];
  for (let east = -200; east <= 800; east += 10) {
    for (let north = -40; north <= 40; north += 20) {
      const [lat, lon] = geographic(east, north);
      rows.push(`${lat.toFixed(7)},${lon.toFixed(7)},6.0`);
    }
  }
  write(folder, 'sonar.csv', `lat,lon,depth_m\n${rows.join('\n')}\n`);
  return folder;
}
