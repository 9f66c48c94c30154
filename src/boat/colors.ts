/** Relative luminance of a color, 0 to 1 (WCAG 2.2). @param rgb 0 to 255. */
export const luminance = (rgb: readonly number[]): number => {
  const [red, green, blue] = rgb.map((part) => {
    const share = part / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
};

/** Contrast ratio between neighboring tints, large enough to tell them apart in the sun. */
const STEP = 1.29;
/**
 * Relative luminance + 0.05 of the shallowest tint, so that lines reach a contrast of 3 : 1: dark ones on the deepest
 * tint by day, light ones on the shallowest by night.
 */
const SHALLOWEST = { light: 0.98, dark: 0.346 } as const;
/** Number of tints at this contrast. */
export const TINTS = 8;

export type Theme = 'light' | 'dark';

/** Tints from shallow to deep, each `STEP` darker than the one before. */
export const depthTints = (theme: Theme): readonly string[] =>
  Array.from({ length: TINTS }, (_, at) => blueOf(SHALLOWEST[theme] / STEP ** at - 0.05));

/** A blue of the given luminance, from white through blue to black. */
function blueOf(wanted: number): string {
  let [low, high] = [0, 1];
  let rgb = [0, 0, 0];
  for (let round = 0; round < 24; round++) {
    const middle = (low + high) / 2;
    rgb = along(middle);
    if (luminance(rgb) < wanted) low = middle;
    else high = middle;
  }
  return `rgb(${rgb.join(',')})`;
}

const WAY = [
  [0, 0, 0],
  [8, 62, 120],
  [70, 150, 215],
  [255, 255, 255],
] as const;

function along(share: number): number[] {
  const at = Math.min(WAY.length - 2, Math.floor(share * (WAY.length - 1)));
  const part = share * (WAY.length - 1) - at;
  return WAY[at].map((value, channel) => Math.round(value + (WAY[at + 1][channel] - value) * part));
}

/** Colors of what is drawn over the depths. */
export const INKS = {
  light: {
    ink: '#000',
    paper: '#fff',
    route: '#8a0050',
    closed: '#b00000',
    slow: '#6b3a00',
    boat: '#005a1c',
    blank: '#fff',
    hatch: '#8a7f6a',
  },
  dark: {
    ink: '#fff',
    paper: '#000',
    route: '#ff9ad5',
    closed: '#ff8a80',
    slow: '#ffc46b',
    boat: '#7dff9b',
    blank: '#000',
    hatch: '#6b6353',
  },
} as const;
