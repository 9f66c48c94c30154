/** Returns red, green and blue of a color such as `#fff` or `#a1b2c3`, 0 to 255. */
export function rgbOf(color: string): number[] {
  const digits = color.slice(1);
  const pairs = digits.length === 3 ? [...digits].map((digit) => digit + digit) : (digits.match(/../g) ?? []);
  return pairs.map((pair) => Number.parseInt(pair, 16));
}

/** Returns the relative luminance of a color, 0 to 1. Source: WCAG 2.2. @param rgb 0 to 255. */
export function luminance(rgb: readonly number[]): number {
  const [red, green, blue] = rgb.map((part) => {
    const share = part / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
}

/** Returns the contrast ratio of two luminances, 1 to 21. Source: WCAG 2.2. */
export const contrastOf = (a: number, b: number): number => (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
