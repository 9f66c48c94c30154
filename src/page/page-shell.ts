import { createHash } from 'node:crypto';
import type { DayPlan } from '../../shared/day/index.ts';
import { CAUTIONS, PLAN_CAUTIONS } from '../day/index.ts';
import { FIGURE_COLORS, FIGURE_DEFS, FIGURE_STYLE } from './figure-style.ts';
import { MAP_SCRIPT } from './map-script.ts';
import { PAGE_SCRIPT } from './page-script.ts';
import { PAGE_STYLE } from './page-style.ts';
import { escapeText } from './svg.ts';

export interface PageShell {
  readonly title: string;
  /** CSS in addition to the style of all pages. */
  readonly style?: string;
  /** CSS class of the body. */
  readonly kind: string;
  readonly skip: { readonly id: string; readonly words: string };
  /** Markup of the page's header. */
  readonly header: string;
  /** Markup of the page's main part. */
  readonly main: string;
}

const SCRIPT = `${PAGE_SCRIPT}\n${MAP_SCRIPT}`;

/**
 * Renders a page as one HTML file that uses no network, no external fonts and no storage. A content security
 * policy allows only the page's own style and script, by their digests.
 */
export function pageShell({ title, style = '', kind, skip, header, main }: PageShell): string {
  const styles = [FIGURE_COLORS, FIGURE_STYLE, PAGE_STYLE, style].join('\n');
  return [
    '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">',
    `<meta http-equiv="Content-Security-Policy" content="${policy(styles)}">`,
    '<meta name="viewport" content="width=device-width,initial-scale=1">',
    '<meta name="referrer" content="no-referrer"><meta name="color-scheme" content="light dark">',
    '<meta name="format-detection" content="telephone=no">',
    '<link rel="icon" href="data:,">',
    `<title>${escapeText(title)}</title>`,
    `<style>${styles}</style>\n</head>\n<body class="${kind}">`,
    `<svg width="0" height="0" class="fig unseen" aria-hidden="true" focusable="false">${FIGURE_DEFS}</svg>`,
    `<a class="skip" href="#${skip.id}">${skip.words}</a>`,
    header,
    `<main>\n${main}\n</main>\n<script>${SCRIPT}</script>\n</body>\n</html>\n`,
  ].join('\n');
}

const policy = (style: string): string =>
  `default-src 'none'; style-src ${digest(style)}; script-src ${digest(SCRIPT)}; img-src data:; base-uri 'none'; form-action 'none'`;

/** Returns the SHA-256 digest of a style or script in the form of a content security policy. */
export const digest = (text: string): string =>
  `'sha256-${createHash('sha256').update(text, 'utf8').digest('base64')}'`;

export const cautionList = (plan: DayPlan | undefined): string => {
  const texts = plan === undefined ? CAUTIONS : PLAN_CAUTIONS;
  return `<ul>${texts.map((text) => `<li>${escapeText(text)}</li>`).join('')}</ul>`;
};
