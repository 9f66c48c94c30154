import { FIGURE_COLORS, FIGURE_DEFS, FIGURE_STYLE } from './figure-style.ts';
import { escapeText, short, svgElement } from './svg.ts';

export interface FigureRoot {
  /** Figure units. */
  readonly width: number;
  readonly height: number;
  /** What the figure shows, for those who do not see it. */
  readonly label: string;
  /** Kind of figure, in `data-figure`. */
  readonly name: string;
  /** Scales and origins by which places can be read back from the drawing. */
  readonly data?: Readonly<Record<string, number>>;
  /** True when it holds links. */
  readonly isInteractive?: boolean;
  readonly isStandalone?: boolean;
}

/** Margin round a figure that is a file of its own. */
const MARGIN = 12;

/** Whole `svg` element round the markup of a figure. */
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
  return svgElement(
    'svg',
    {
      xmlns: 'http://www.w3.org/2000/svg',
      ...shared,
      viewBox: box,
      width: width * 2,
      height: height * 2,
    },
    `<title>${escapeText(root.label)}</title><style>${FIGURE_COLORS}\n${FIGURE_STYLE}</style>${FIGURE_DEFS}${ground}${content}`,
  );
}
