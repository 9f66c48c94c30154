import { FIGURE_COLORS, FIGURE_DEFS, FIGURE_STYLE } from './figure-style.ts';
import { escapeText, short, svgElement } from './svg.ts';

export interface FigureRoot {
  readonly width: number;
  readonly height: number;
  /** Text alternative for readers who cannot see the figure. */
  readonly label: string;
  /** Kind of figure, written to `data-figure`. */
  readonly name: string;
  /** Scales and origins, written as data attributes for reading positions back from the drawing. */
  readonly data?: Readonly<Record<string, number>>;
  /** True when the figure contains links. */
  readonly isInteractive?: boolean;
  readonly isStandalone?: boolean;
}

/** Margin around a figure in a separate file, figure units. */
const MARGIN = 12;

/** Path data of the mark's ring and cross, around the origin. */
export const MARK = 'M-10 0h6M4 0h6M0-10v6M0 4v6M4 0a4 4 0 1 1-8 0a4 4 0 1 1 8 0';
/** Path data of the boat's hull from above, bow up, around the origin. */
export const HULL = 'M0-11C4.5-6 5 1 4 8H-4C-5 1-4.5-6 0-11Z';
/** Path data of the diamond at a landing, around the origin. */
export const LANDING = 'M0-5L5 0L0 5L-5 0Z';

/** Markup of the north arrow, around the origin. */
export const NORTH_ARROW =
  '<circle class="paper" r="16"/><path d="M0-12L4 5L0 2L-4 5Z"/><text class="mid bold" y="15">N</text>';

export function figureRoot(content: string, root: FigureRoot): string {
  const data = Object.fromEntries(
    Object.entries(root.data ?? {}).map(([key, value]) => [`data-${key}`, short(value, 7)]),
  );
  const shared = {
    class: 'fig',
    role: root.isInteractive === true ? 'group' : 'img',
    'aria-label': root.label,
    'data-figure': root.name,
    ...data,
  };
  if (root.isStandalone !== true) {
    return svgElement('svg', { ...shared, viewBox: `0 0 ${root.width} ${root.height}` }, content);
  }
  const [width, height] = [root.width + 2 * MARGIN, root.height + 2 * MARGIN];
  const box = `${-MARGIN} ${-MARGIN} ${width} ${height}`;
  const ground = `<path class="paper" d="M${-MARGIN} ${-MARGIN}h${width}v${height}h${-width}Z"/>`;
  const size = { viewBox: box, width: width * 2, height: height * 2 };
  return svgElement(
    'svg',
    { xmlns: 'http://www.w3.org/2000/svg', ...shared, ...size },
    `<title>${escapeText(root.label)}</title><style>${FIGURE_COLORS}\n${FIGURE_STYLE}</style>${FIGURE_DEFS}${ground}${content}`,
  );
}
