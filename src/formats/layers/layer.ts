import type { Feature } from 'geojson';

/** Bytes of a layer, built piece by piece because a lake of soundings exceeds the longest possible string. */
export function layerBytes(name: string, features: Iterable<Feature>): Uint8Array {
  const encoder = new TextEncoder();
  const chunks = [
    encoder.encode(`{"type":"FeatureCollection","creator":"downslope","name":"${name}","features":[`),
  ];
  let lines: string[] = [];
  let isFirst = true;
  const flush = (): void => {
    chunks.push(encoder.encode(lines.join('')));
    lines = [];
  };
  for (const each of features) {
    lines.push(`${isFirst ? '\n' : ',\n'}${JSON.stringify(each)}`);
    isFirst = false;
    if (lines.length === 10_000) flush();
  }
  lines.push('\n]}\n');
  flush();
  const content = new Uint8Array(chunks.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const chunk of chunks) {
    content.set(chunk, at);
    at += chunk.length;
  }
  return content;
}
