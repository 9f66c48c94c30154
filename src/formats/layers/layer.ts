import type { Feature } from 'geojson';

/** Formats a layer in pieces, because the text of a lake's soundings may exceed the maximum string length. */
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
  return Buffer.concat(chunks);
}
