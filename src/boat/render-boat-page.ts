import { readFileSync } from 'node:fs';
import { cautionList, digest, escapeText } from '../page/index.ts';
import { packedFile } from '../program-files.ts';
import { type BoatData, toText } from './boat-data.ts';
import { BOAT_STYLE } from './boat-style.ts';

/**
 * Renders the boat page as one self-contained HTML file with its script, style and data. Its content security
 * policy blocks all requests. Without scripts, the page shows only its title, a note that it needs
 * them, and the cautions.
 */
export function renderBoatPage(data: BoatData): string {
  const script = packedText('boat-page.js');
  const policy = `default-src 'none'; script-src ${digest(script)}; style-src ${digest(BOAT_STYLE)}; base-uri 'none'; form-action 'none'`;
  const title = `${data.title} ${data.date}`;
  return [
    '<!doctype html>',
    '<html lang="en"><head><meta charset="utf-8">',
    `<meta http-equiv="Content-Security-Policy" content="${policy}">`,
    '<meta name="viewport" content="width=device-width,initial-scale=1,viewport-fit=cover">',
    `<title>${escapeText(title)}</title><style>${BOAT_STYLE}</style></head><body>`,
    `<main><h1>${escapeText(title)}</h1><p>This page needs JavaScript. If you see it in a preview, open the file in a browser.</p>`,
    `<div id="cautions" class="cautions"><h2>Not for navigation</h2>${cautionList(data.plan)}<p>downslope ${escapeText(data.version)}. The page draws no course to steer and gives no alarm.</p></div></main>`,
    `<script type="application/json" id="boat-data">${inScript(toText(data))}</script>`,
    `<script>${script}</script>`,
    `<template id="licenses"><pre>${escapeText(packedText('boat-page-licenses.txt'))}</pre></template>`,
    '</body></html>',
    '',
  ].join('\n');
}

const packedText = (name: string): string => readFileSync(packedFile(name), 'utf8').trim();

/** Escapes JSON, so that an HTML parser finds no end tag in the JSON. */
const inScript = (json: string): string => json.replaceAll('<', '\\u003c');
